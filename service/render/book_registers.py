"""The registers of the paper book: materials and colours, shared and spent numbers, page proof, index of keys."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table

from service.errors import UnknownCode
from service.marks.book import SPENT, Book
from service.marks.book_segment import Rgb
from service.marks.book_words import PAGE_CHECK_WORDS
from service.marks.page_check import PRINTED_RULE
from service.render.book_parts import (
    TEXT_PT,
    Milestone,
    Setting,
    ShapePatch,
    grid_table,
    head,
    number_cell,
    prose,
    text_rows,
)
from service.render.sheet_parts import Swatch, paragraph
from service.render.sheet_tables import TIGHT
from service.rules.colours import stock_colour

_SPENT_NEEDS = 30 * mm
"""The words about spent numbers stay with the first rows of their table."""


def materials(setting: Setting, book: Book) -> list[Flowable]:
    """The table of the materials and the stock colours that this kit uses."""
    rows = [
        (
            one.name,
            "not on record" if one.density_g_cm3 is None else f"{one.density_g_cm3:.2f}",
            "not on record" if one.alpha_per_k is None else f"{one.alpha_per_k * 1e6:.1f}",
            "not on record" if one.max_continuous_c is None else f"{one.max_continuous_c:.0f}",
            str(sum(part.quantity for part in book.segments if part.material == one.name)),
            f"{sum(part.quantity * part.mass_kg for part in book.segments if part.material == one.name):.1f}",
        )
        for one in book.materials
    ]
    heads = ("Material", "Density, g/cm³", "Expansion, µm/(m·K)", "Continuous use to, °C", "Pieces", "Mass, kg")
    return [
        *head(setting, "materials"),
        text_rows(setting, heads, rows, (0.2, 0.15, 0.2, 0.2, 0.11, 0.14)),
        Spacer(0, 2 * mm),
        *prose(
            setting,
            "Density, expansion and heat are typical values, good for a mass and a caution, not for a tolerance. "
            "A sheet of another maker differs. Lengths are those at 20 °C.",
        ),
        _colours({part.colour: part.colour_rgb for part in book.segments}),
    ]


def _colours(colours: Mapping[str, Rgb]) -> Table:
    """Each stock colour with its word and, where it has one, the shape that stands for it on every plate."""
    rows: list[list[Flowable | str]] = []
    for word, rgb in colours.items():
        shape: Flowable | str = ""
        with suppress(UnknownCode):
            shape = ShapePatch(stock_colour(word).shape, (0, 0, 0), 5 * mm)
        rows.append([Swatch(word, rgb, TEXT_PT), shape])
    return Table(
        rows or [["", ""]],
        colWidths=[38 * mm, 8 * mm],
        hAlign="LEFT",
        style=[*TIGHT, ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), ("BOTTOMPADDING", (0, 0), (-1, -1), 3)],
    )


def others(setting: Setting, book: Book) -> list[Flowable]:
    """The machine, further containers, segments that two kits share, and numbers that name nothing any more."""
    shared = [part for part in book.segments if part.serves or part.home_kit != book.kit]
    story = head(setting, "others")
    if book.past:
        story.append(
            text_rows(
                setting,
                ("From", "To", "What held"),
                [(row.since, row.until, row.words) for row in book.past],
                (0.16, 0.16, 0.68),
            )
        )
        story.append(Spacer(0, 3 * mm))
    story += _machine(setting, book)
    story += prose(
        setting,
        f"Besides {book.container_code} this kit runs {', '.join(book.serves)}."
        if book.serves
        else f"This kit runs {book.container_code} and no other container.",
    )
    if shared:
        story += prose(
            setting,
            "These segments serve several kits. Each has one number, that of its first kit. In a changeover "
            "between them it stays on the machine.",
        )
        story.append(
            grid_table(
                setting.small,
                [share * setting.width for share in (0.28, 0.22, 0.5)],
                ("Number", "Numbered by", "Serves too"),
                [
                    [
                        number_cell(part.number, setting.small),
                        paragraph(part.home_kit, setting.small.text),
                        paragraph(", ".join(part.serves), setting.small.text),
                    ]
                    for part in shared
                ],
            )
        )
    else:
        story += prose(setting, "It shares no segment with another kit.")
    story.append(Spacer(0, 2 * mm))
    if book.spent:
        story += [CondPageBreak(_SPENT_NEEDS), Milestone(setting, SPENT, "Spent numbers", level=1)]
        story += prose(
            setting,
            "These places were given up. Their numbers and keys are spent for ever and name no other part; a piece "
            "that bears one is to be asked about before it is used.",
        )
        story.append(
            grid_table(
                setting.small,
                [share * setting.width for share in (0.28, 0.12, 0.2, 0.4)],
                ("Spent number", "Key", "Keys of its pieces", "Why"),
                [
                    [
                        number_cell(one.number, setting.small),
                        paragraph(one.key, setting.small.text),
                        paragraph(", ".join(one.piece_keys), setting.small.text),
                        paragraph(one.reason, setting.small.text),
                    ]
                    for one in book.spent
                ],
            )
        )
    else:
        story += prose(setting, "No number of this kit was given up.")
    return story


def _machine(setting: Setting, book: Book) -> list[Flowable]:
    """What was measured at the machine, and which machines are the same."""
    story: list[Flowable] = []
    if book.surveyed:
        story += prose(setting, "What the surveys of the machine say, of each dimension the newest:")
        story.append(
            text_rows(
                setting,
                ("Dimension", "Value", "How it is known", "On", "By"),
                [(row.what, row.value, row.how, row.surveyed_on, row.surveyed_by) for row in book.surveyed],
                (0.32, 0.16, 0.19, 0.13, 0.2),
            )
        )
        story.append(Spacer(0, 3 * mm))
    if book.same:
        story += prose(
            setting, "Machines on record as the same as this one where the assembly meets them, and by whose word:"
        )
        story.append(
            text_rows(
                setting,
                ("Machine", "Assembly", "What was compared", "Word of"),
                [(row.machine, row.assembly, row.interface, row.word) for row in book.same],
                (0.16, 0.12, 0.32, 0.4),
            )
        )
        story.append(Spacer(0, 3 * mm))
    return story


def page_proof(setting: Setting) -> list[Flowable]:
    """How the check value of a page is computed."""
    first, *more = PAGE_CHECK_WORDS
    return [*head(setting, "pages"), *prose(setting, first.format(rule=PRINTED_RULE), *more)]
