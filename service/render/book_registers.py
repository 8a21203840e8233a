"""The registers of the paper book: materials and colours, shared and spent numbers, page proof, index of keys."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from service.marks.book import Book
from service.marks.book_words import PAGE_CHECK_WORDS
from service.marks.page_check import PRINTED_RULE
from service.render.book_parts import Setting, grid_table, head, linked, number_cell, prose, text_rows
from service.render.sheet_parts import Swatch, paragraph


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
    colours = {part.colour: part.colour_rgb for part in book.segments}
    return [
        *head(setting, "materials"),
        text_rows(setting, heads, rows, (0.2, 0.15, 0.2, 0.2, 0.11, 0.14)),
        Spacer(0, 2 * mm),
        *prose(
            setting,
            "Density, expansion and heat are typical values, good for a mass and a caution, not for a tolerance. "
            "A sheet of another maker differs. Lengths are those at 20 °C.",
        ),
        *(Swatch(word, rgb, 9.5) for word, rgb in colours.items()),
    ]


def others(setting: Setting, book: Book) -> list[Flowable]:
    """The machine's past, further containers, segments that two kits share, and numbers that name nothing any more."""
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
        story += prose(
            setting,
            "These places were given up. Their numbers and keys are spent for ever and name no other part; a piece "
            "that bears one is to be asked about before it is used.",
        )
        story.append(
            grid_table(
                setting.small,
                [share * setting.width for share in (0.28, 0.14, 0.58)],
                ("Spent number", "Key", "Why"),
                [
                    [
                        number_cell(one.number, setting.small),
                        paragraph(one.key, setting.small.text),
                        paragraph(one.reason, setting.small.text),
                    ]
                    for one in book.spent
                ],
            )
        )
    else:
        story += prose(setting, "No number of this kit was given up.")
    return story


def page_proof(setting: Setting) -> list[Flowable]:
    """How the check value of a page is computed."""
    first, *more = PAGE_CHECK_WORDS
    return [*head(setting, "pages"), *prose(setting, first.format(rule=PRINTED_RULE), *more)]


def index(setting: Setting, book: Book) -> list[Flowable]:
    """Every key in the order of its symbols, with the page of its segment; digits stand before letters."""
    rows = [
        [
            paragraph(key, setting.small.strong, "bold"),
            number_cell(segment.number, setting.small),
            paragraph(segment.place, setting.small.text),
            paragraph(bears, setting.small.text),
            linked(setting.pages.of(segment.number), segment.number, setting.small.text),
        ]
        for key, segment, bears in book.key_rows()
    ]
    return [
        *head(setting, "index"),
        *prose(setting, "In the order of the symbols, digits before letters."),
        grid_table(
            setting.small,
            [share * setting.width for share in (0.16, 0.3, 0.14, 0.3, 0.1)],
            ("Key", "Number", "Place", "Borne by", "Page"),
            rows,
        ),
    ]
