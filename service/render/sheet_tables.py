"""The tables of a work sheet: rows under a head that repeats on the next page, and steps to tick off and sign."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Table

from service.render.fonts import pdf_font
from service.render.sheet_parts import INK, RULE, SheetStyles, TickBox, paragraph

Command = tuple[object, ...]

TIGHT: list[Command] = [
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]
"""Cells without padding, their content at the top."""

_SIGNED = "by ______________  on ____________"


def row_table(
    styles: SheetStyles,
    width: float,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    shares: Sequence[float],
) -> Table:
    """Rows of text, the first column bold; rows and head go on to the next page where they have to.

    Args:
        styles: the type.
        width: width of the table in points.
        heads: the head of each column.
        rows: the texts.
        shares: the share of each column in the width.
    """
    cells: list[list[Flowable]] = [[paragraph(head, styles.label) for head in heads]]
    cells += [
        [paragraph(row[0], styles.strong, "bold"), *(paragraph(text, styles.text) for text in row[1:])] for row in rows
    ]
    return Table(
        cells,
        colWidths=[share * width for share in shares],
        repeatRows=1,
        splitInRow=1,
        style=[
            *TIGHT,
            ("RIGHTPADDING", (0, 0), (-1, -1), 4),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, INK),
            ("LINEBELOW", (0, 1), (-1, -1), 0.3, RULE),
            ("TOPPADDING", (0, 0), (-1, -1), 1.2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 1.6),
        ],
    )


def tick_table(styles: SheetStyles, width: float, steps: Sequence[str]) -> Table:
    """Steps with a box to tick and room to sign each."""
    box = styles.text_pt + 2
    rows: list[list[Flowable]] = [
        [TickBox(box), paragraph(step, styles.strong, "bold"), paragraph(_SIGNED, styles.text)] for step in steps
    ]
    sign_width = stringWidth(_SIGNED, pdf_font("regular"), styles.text_pt) + 4
    return Table(
        rows,
        colWidths=[box + 8, width - box - 8 - sign_width, sign_width],
        style=[
            *TIGHT,
            ("BOX", (0, 0), (-1, -1), 0.8, INK),
            ("LEFTPADDING", (0, 0), (0, -1), 5),
            ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
            ("TOPPADDING", (0, 0), (-1, -1), 2.4),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.4),
        ],
    )
