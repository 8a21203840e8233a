"""The plans, the segment tables and the segment pages of the paper book."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, Spacer, Table

from service.marks.book import Book
from service.marks.book_joint import levels_words
from service.marks.book_segment import BookSegment, mass_words
from service.marks.plan import PlanPart, lay_out_plan
from service.marks.work_sheet import in_groups, two_fours
from service.render.book_parts import (
    Milestone,
    Setting,
    colour_of,
    fact_table,
    grid_table,
    head,
    linked,
    number_cell,
    prose,
    sized,
)
from service.render.outline_pdf import OutlinePicture
from service.render.panel_pdf import PanelPicture
from service.render.sheet_parts import INK, KeyLines, NumberLine, paragraph
from service.render.sheet_tables import TIGHT

_PLAN_HEIGHT = 74 * mm
PLANS_NEED = _PLAN_HEIGHT + 62 * mm
"""The head of the chapter, its words, and the first plan with some rows of its table."""
_KEPT_TABLE = 45 * mm
"""A segment table that is no taller stays with its plan."""
_CARD_GAP = 7 * mm
_PICTURE_HEIGHT = 46 * mm
_PICTURE_SHARE = 0.36
_TABLE_SHARES = (0.05, 0.212, 0.11, 0.193, 0.065, 0.085, 0.05, 0.07, 0.035, 0.06, 0.07)


def plans(setting: Setting, book: Book) -> list[Flowable]:
    """Each assembly and deck: its picture, and the table of its segments."""
    story = head(setting, "plans")
    story += prose(
        setting,
        "Seen from above, each assembly and deck as it lies in the machine, all segments in their stock colours. The "
        "check of each number is set bold. More on each segment stands on its own page in chapter 7.",
    )
    for (kit, assembly, deck), parts in book.decks():
        place = f"{assembly}, {deck} deck" if deck else assembly
        title = place if kit == book.kit else f"{place}, of kit {kit}"
        shown = [
            paragraph(title, sized("deck", "bold", 14, spaceBefore=7 * mm), "bold"),
            Spacer(0, 2 * mm),
            _panel(setting, parts),
            Spacer(0, 3 * mm),
        ]
        table = _segment_table(setting, parts)
        if table.wrap(setting.width, setting.height)[1] < _KEPT_TABLE:
            story.append(KeepTogether([*shown, table]))
        else:
            story += [KeepTogether(shown), table]
    return story


def _panel(setting: Setting, parts: Sequence[BookSegment]) -> PanelPicture:
    plan = lay_out_plan(
        [
            PlanPart(
                id=part.number,
                place=part.place,
                deck=part.deck,
                assembly=part.assembly,
                drawing=setting.outlines[part.outline],
                colour=part.colour_rgb,
                label=part.label(),
                quantity=part.quantity,
            )
            for part in parts
        ],
        width_px=setting.width,
    )
    return PanelPicture(plan.panels[0].panel, width=setting.width, height=_PLAN_HEIGHT)


def _segment_table(setting: Setting, parts: Sequence[BookSegment]) -> Table:
    small = setting.small
    heads = ("Place", "Number", "Key", "Cut file", "As built", "Material", "mm", "Mass", "Qty", "Hand", "Colour")
    rows = [
        [
            linked(part.label(), part.number, small.text),
            number_cell(part.number, small),
            paragraph(two_fours(part.key), small.text),
            paragraph(part.cut_file, small.text),
            paragraph(part.built_letter(), small.text),
            paragraph(part.material, small.text),
            paragraph(f"{part.thickness_mm:g}", small.text),
            paragraph(mass_words(part.mass_kg), small.text),
            paragraph(str(part.quantity), small.text),
            paragraph(part.hand, small.text),
            paragraph(part.colour, small.text),
        ]
        for part in parts
    ]
    return grid_table(small, [share * setting.width for share in _TABLE_SHARES], heads, rows)


def segment_pages(setting: Setting, book: Book) -> list[Flowable]:
    """One card a segment, in the order of the machine."""
    story = head(setting, "segments")
    if not book.segments:
        story += prose(setting, "No segment of this kit is in use any more: every place was given up.")
    for index, part in enumerate(book.segments):
        story += _card(setting, part, book.kit, before=_CARD_GAP if index else 0)
    return story


def _card(setting: Setting, part: BookSegment, kit: str, *, before: float) -> list[Flowable]:
    small, width = setting.small, setting.width
    picture = OutlinePicture(
        setting.outlines[part.outline], engraving=None, width=_PICTURE_SHARE * width - 6 * mm, height=_PICTURE_HEIGHT
    )
    facts_width = (1 - _PICTURE_SHARE) * width
    facts = fact_table(small, facts_width, part.facts(kit), 22 * mm)
    top: list[Flowable] = [
        Milestone(setting, part.number, f"{part.place}  {part.number}", level=1, before=before),
        _title(setting, part),
    ]
    if facts.wrap(facts_width, setting.height)[1] > 0.45 * setting.height:
        body: list[Flowable] = [picture, Spacer(0, 2 * mm), fact_table(small, width, part.facts(kit), 22 * mm)]
    else:
        body = [
            Table(
                [[picture, facts]],
                colWidths=[_PICTURE_SHARE * width, facts_width],
                style=[*TIGHT, ("VALIGN", (0, 0), (-1, -1), "TOP"), ("ALIGN", (0, 0), (0, 0), "CENTER")],
            )
        ]
    tables = [_revisions(setting, part), *_pieces(setting, part), *_joints(setting, part)]
    whole = [*top, Spacer(0, 2 * mm), *body, Spacer(0, 2 * mm), *_spaced(tables)]
    height = sum(one.wrap(width, setting.height)[1] + one.getSpaceBefore() + one.getSpaceAfter() for one in whole)
    needed = height if height <= 0.9 * setting.height else 0.4 * setting.height
    return [CondPageBreak(needed), *whole]


def _spaced(tables: Sequence[Flowable]) -> list[Flowable]:
    return [flowable for table in tables for flowable in (table, Spacer(0, 2.2 * mm))]


def _title(setting: Setting, part: BookSegment) -> Table:
    """Number, key and place under a bar in the stock colour."""
    key_width, place_width = 50 * mm, 27 * mm
    number_width = setting.width - key_width - place_width - 4 * mm
    return Table(
        [
            ["", "", ""],
            [
                [
                    paragraph("Number, its check in the frame", setting.small.label),
                    NumberLine(*part.number_and_check(), number_width),
                ],
                [paragraph("Key of the segment", setting.small.label), KeyLines((two_fours(part.key),), key_width, 8)],
                [paragraph("Place", setting.small.label), paragraph(part.place, sized("place", "bold", 16), "bold")],
            ],
        ],
        colWidths=[number_width + 4 * mm, key_width, place_width],
        rowHeights=[1.8 * mm, None],
        style=[
            *TIGHT,
            ("BACKGROUND", (0, 0), (-1, 0), colour_of(part.colour_rgb)),
            ("BOX", (0, 0), (-1, 0), 0.5, INK),
            ("TOPPADDING", (0, 1), (-1, 1), 3),
            ("VALIGN", (0, 1), (-1, 1), "TOP"),
        ],
    )


def _revisions(setting: Setting, part: BookSegment) -> Table:
    small = setting.small
    return grid_table(
        small,
        [share * setting.width for share in (0.062, 0.088, 0.558, 0.292)],
        ("Revision", "Released", f"SHA-256 of {part.cut_file}", "Changes, notes"),
        [
            [
                paragraph(one.letter, small.strong, "bold"),
                paragraph(one.released_on, small.text),
                paragraph(in_groups(one.sha256), small.text),
                paragraph(one.remarks(), small.text),
            ]
            for one in part.revisions
        ],
        shaded=False,
    )


def _pieces(setting: Setting, part: BookSegment) -> list[Table]:
    small = setting.small
    if not part.pieces:
        return []
    return [
        grid_table(
            small,
            [share * setting.width for share in (0.21, 0.07, 0.13, 0.12, 0.47)],
            (f"Piece of {part.place}", "Set", "Cut from", "Condition", "Remarks"),
            [
                [
                    paragraph(one.name(), small.strong, "bold"),
                    paragraph(str(one.set_number), small.text),
                    paragraph(f"revision {one.revision}" if one.revision else "not on record", small.text),
                    paragraph(one.condition, small.text),
                    paragraph(one.remarks(), small.text),
                ]
                for one in part.pieces
            ],
            shaded=False,
        )
    ]


def _joints(setting: Setting, part: BookSegment) -> list[Table]:
    small = setting.small
    if not part.joints:
        return []
    return [
        grid_table(
            small,
            [share * setting.width for share in (0.25, 0.19, 0.2, 0.2, 0.16)],
            (
                f"{part.place} joins",
                "Form, clearance",
                "Joint revision, this side",
                "Joint revision, neighbour",
                "Neighbour built at",
            ),
            [
                [
                    number_cell(one.number, small),
                    paragraph(one.form, small.text),
                    paragraph(levels_words(one.here), small.text),
                    paragraph(levels_words(one.there), small.text),
                    paragraph(one.neighbour_built, small.text),
                ]
                for one in part.joints
            ],
            shaded=False,
        )
    ]
