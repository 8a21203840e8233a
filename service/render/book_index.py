"""The ends of the paper book: the index of keys, the older marks, and empty lines for what is written in by hand."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table

from service.marks.book import Book
from service.render.book_parts import Setting, grid_table, head, linked, number_cell, prose
from service.render.sheet_parts import RULE, paragraph

_OLDER_NEEDS = 40 * mm


def index(setting: Setting, book: Book) -> list[Flowable]:
    """Every key in the order of its symbols, with the page of its segment; digits stand before letters."""
    rows = [
        [
            paragraph(row.key, setting.small.strong, "bold"),
            number_cell(row.number, setting.small),
            paragraph(row.place, setting.small.text),
            paragraph(row.bears, setting.small.text),
            linked(setting.pages.of(row.told), row.told, setting.small.text),
        ]
        for row in book.key_rows()
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


def older_marks(setting: Setting, book: Book) -> list[Flowable]:
    """What people and papers called these things before; nothing where nobody said so."""
    if not book.older:
        return []
    small = setting.small
    return [
        Spacer(0, 5 * mm),
        CondPageBreak(_OLDER_NEEDS),
        *prose(
            setting,
            "Marks that people and papers used before, in the order of their letters; blanks and dashes do not count. "
            "Nobody has to know a number to find a part.",
        ),
        grid_table(
            small,
            [share * setting.width for share in (0.27, 0.1, 0.24, 0.32, 0.07)],
            ("Older mark", "Names a", "Which", "Said by, remarks", "Page"),
            [
                [
                    paragraph(one.mark, small.strong, "bold"),
                    paragraph(one.kind, small.text),
                    number_cell(one.means, small) if one.kind == "segment" else paragraph(one.means, small.text),
                    paragraph(one.said, small.text),
                    linked(setting.pages.of(one.means), one.means, small.text)
                    if one.has_page
                    else paragraph("", small.text),
                ]
                for one in book.older
            ],
        ),
    ]


def notes(setting: Setting) -> list[Flowable]:
    """Empty lines for what changes after the book was made."""
    small = setting.small
    heads = ("Date", "Number or key", "What was done: cut anew, reworked, scrapped, moved", "Revision", "Name")
    line = 9 * mm
    room = setting.height - 34 * mm
    return [
        *head(setting, "notes"),
        *prose(
            setting,
            "The book ends with the day of its records, on the cover. What is done to the kit later without this "
            "service belongs here; a new book, once it is on record, takes the place of this one.",
        ),
        Table(
            [[paragraph(text, small.label) for text in heads], *([""] * len(heads) for _ in range(int(room / line)))],
            colWidths=[share * setting.width for share in (0.12, 0.25, 0.39, 0.1, 0.14)],
            rowHeights=[None, *[line] * int(room / line)],
            style=[("GRID", (0, 0), (-1, -1), 0.3, RULE), ("LEFTPADDING", (0, 0), (-1, -1), 3)],
        ),
    ]
