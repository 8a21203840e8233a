"""The joint table of the paper book: every joint of the kit with both of its sides."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer, Table

from service.marks.book import Book
from service.marks.book_joint import JointSide, KitJoint, levels_words
from service.render.book_parts import BAND, SHADE, Setting, head, linked, number_cell, prose
from service.render.sheet_parts import INK, RULE, paragraph
from service.render.sheet_tables import TIGHT

_SHARES = (0.08, 0.225, 0.15, 0.2, 0.165, 0.18)
_HEADS = ("Place", "Number", "Built at", "Joint revision in", "Form, clearance", "As built")


def joint_table(setting: Setting, book: Book) -> list[Flowable]:
    """The chapter; a kit without joints is said to have none."""
    story = head(setting, "joints")
    if not book.joints:
        return [*story, *prose(setting, "No segments of this kit interlock, as far as the records know.")]
    story += prose(
        setting,
        "Two lines a joint, one for each side: what its fitted piece was cut from, and which joint revision is in "
        "which revision letter of its cut file. Chapter 5 says how to use them.",
    )
    own = frozenset(segment.number for segment in book.segments)
    return [*story, Spacer(0, 1 * mm), _table(setting, book.joints, own)]


def _table(setting: Setting, joints: tuple[KitJoint, ...], own: frozenset[str]) -> Table:
    small = setting.small
    cells: list[list[Flowable | str]] = [[paragraph(head, small.label) for head in _HEADS]]
    kept: list[tuple[object, ...]] = []
    for at, joint in enumerate(joints):
        row = len(cells)
        cells.append(
            [*_side(setting, joint.first, own), paragraph(joint.form, small.text), paragraph(joint.locks, small.text)]
        )
        cells.append([*_side(setting, joint.second, own), "", ""])
        kept += [
            # Cells over both lines also keep the two on one page.
            ("SPAN", (4, row), (4, row + 1)),
            ("SPAN", (5, row), (5, row + 1)),
            ("NOSPLIT", (0, row), (-1, row + 1)),
            ("LINEBELOW", (0, row + 1), (-1, row + 1), 0.3, RULE),
            *([("BACKGROUND", (0, row), (-1, row + 1), SHADE)] if at % 2 else []),
        ]
    return Table(
        cells,
        colWidths=[share * setting.width for share in _SHARES],
        repeatRows=1,
        style=[
            *TIGHT,
            ("LEFTPADDING", (0, 0), (-1, -1), BAND),
            ("RIGHTPADDING", (0, 0), (-1, -1), BAND),
            ("TOPPADDING", (0, 0), (-1, -1), 1.4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
            *kept,
        ],
    )


def _side(setting: Setting, side: JointSide, own: frozenset[str]) -> list[Flowable]:
    """Four cells; a neighbour that only another kit holds has no page here to lead to."""
    small = setting.small
    place = linked(side.place, side.number, small.text) if side.number in own else paragraph(side.place, small.text)
    return [
        place,
        number_cell(side.number, small),
        paragraph(side.built, small.text),
        paragraph(levels_words(side.levels), small.text),
    ]
