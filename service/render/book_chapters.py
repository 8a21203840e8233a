"""The chapters of the paper book that explain, and its registers: everything but plans and segment pages."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, PageBreak, Paragraph, Spacer, Table

from service.errors import UnknownCode
from service.marks.book import Book
from service.marks.book_words import (
    BOOK_FOR,
    CODE_RULES,
    HOW_TO_FIND,
    KEY_RULES,
    READING_RULES,
    grammar_rows,
)
from service.marks.worked_check import KEY_VALUES, LETTER_VALUES, Division, worked_key, worked_number
from service.render.book_parts import (
    CHAPTERS,
    SHADE,
    TEXT_PT,
    Setting,
    ShapePatch,
    colour_of,
    fact_table,
    gap,
    head,
    ink_on,
    linked,
    numbered,
    prose,
    sized,
    text_rows,
)
from service.render.book_revision import revision_chapter
from service.render.sheet_parts import INK, RULE, legible, paragraph
from service.render.sheet_tables import TIGHT
from service.rules.colours import stock_colour


def cover(setting: Setting, book: Book) -> list[Flowable]:
    """The container in words on the stock colour, the kit, what is known of it, the contents and the shop."""
    half = (setting.width - 8 * mm) / 2
    contents = Table(
        [
            [
                linked(title, name, setting.text.text),
                paragraph(setting.pages.of(name), sized("page", "regular", TEXT_PT, alignment=2)),
            ]
            for name, title in CHAPTERS
        ],
        colWidths=[half - 9 * mm, 9 * mm],
        style=[*TIGHT, ("BOTTOMPADDING", (0, 0), (-1, -1), 3.2), ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE)],
    )
    facts = fact_table(setting.text, half, book.kit_facts(), 24 * mm)
    label = sized("cover label", "regular", 10, spaceAfter=1 * mm)
    return [
        _band(setting, book),
        Spacer(0, 6 * mm),
        paragraph("Kit", label),
        paragraph(book.kit, sized("kit", "bold", 30), "bold"),
        *([_out_of_use(setting, book.retired)] if book.retired else []),
        Spacer(0, 7 * mm),
        Table(
            [
                [
                    paragraph("The kit", setting.text.heading, "bold"),
                    "",
                    paragraph("In this book", setting.text.heading, "bold"),
                ],
                [facts, "", contents],
            ],
            colWidths=[half, 8 * mm, half],
            splitInRow=1,
            style=TIGHT,
        ),
        Spacer(0, 7 * mm),
        *prose(setting, *BOOK_FOR),
        Spacer(0, 3 * mm),
        _box(setting, "Made by", [paragraph(line, setting.body) for line in book.shop_lines() or ("not on record",)]),
    ]


def _out_of_use(setting: Setting, retired: str) -> Table:
    """What nobody may miss about a retired kit."""
    return Table(
        [[paragraph(f"OUT OF USE since {retired}", sized("out of use", "bold", 12), "bold")]],
        colWidths=[setting.width],
        style=[("BOX", (0, 0), (-1, -1), 2, INK), ("TOPPADDING", (0, 0), (-1, -1), 4)],
        spaceBefore=3 * mm,
        splitInRow=1,
    )


def _band(setting: Setting, book: Book) -> Table:
    """The stock colour across the page, with its word and its shape."""
    ink = ink_on(book.colour_rgb)
    colour = colour_of(ink)
    shape: list[Flowable] = []
    with suppress(UnknownCode):
        shape = [ShapePatch(stock_colour(book.colour).shape, ink, 20 * mm), Spacer(0, 2 * mm)]
    right = 30 * mm
    return Table(
        [
            [
                [
                    paragraph("Book of the kit for", sized("for", "regular", 11, colour=colour, spaceAfter=3 * mm)),
                    paragraph(book.container, sized("container", "bold", 34, colour=colour, leading=1.1), "bold"),
                    Spacer(0, 3 * mm),
                    paragraph(book.container_code, sized("code", "bold", 20, colour=colour), "bold"),
                ],
                [*shape, paragraph(book.colour, sized("colour", "bold", 12, colour=colour, alignment=2), "bold")],
            ]
        ],
        colWidths=[setting.width - right, right],
        splitInRow=1,
        style=[
            ("BACKGROUND", (0, 0), (-1, -1), colour_of(book.colour_rgb)),
            ("BOX", (0, 0), (-1, -1), 0.8, INK),
            ("LEFTPADDING", (0, 0), (-1, -1), 6 * mm),
            ("RIGHTPADDING", (0, 0), (-1, -1), 6 * mm),
            ("TOPPADDING", (0, 0), (-1, -1), 7 * mm),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 8 * mm),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ],
    )


def explanations(setting: Setting, book: Book) -> list[Flowable]:
    """Chapters 1 to 5."""
    story = head(setting, "find")
    story.append(numbered(setting, HOW_TO_FIND))
    story.append(Spacer(0, 2 * mm))
    story.append(_box(setting, "Cautions", [paragraph(f"• {text}", setting.body) for text in _cautions(book)]))
    story += gap()
    story += head(setting, "number")
    story.append(
        text_rows(
            setting,
            ("Group", "Letters", "Digits", "In this kit"),
            grammar_rows(book),
            (0.13, 0.17, 0.31, 0.39),
        )
    )
    story.append(Spacer(0, 3 * mm))
    story += prose(setting, *READING_RULES, *CODE_RULES)
    story += gap()
    story += _number_check(setting, book)
    story += gap()
    story += _key_check(setting, book)
    story.append(PageBreak())
    story += revision_chapter(setting, book)
    return story


def _cautions(book: Book) -> tuple[str, ...]:
    """What speaks against using the kit as it is comes first."""
    retired = (f"This kit is out of use since {book.retired}",) if book.retired else ()
    return (*retired, *(f"Check before the kit is used again: {why}" for why in book.check_first), *book.cautions)


def _number_check(setting: Setting, book: Book) -> list[Flowable]:
    worked = worked_number(book.example()[0])
    spelled = " ".join(value for _, value in worked.signs)
    return [
        *head(setting, "check"),
        *prose(
            setting,
            "The check is that of ISO/IEC 7064, MOD 97-10, over all that stands before it. Letters count as 10 to 35, "
            "digits as themselves, hyphens not at all:",
        ),
        _values(setting, LETTER_VALUES),
        Spacer(0, 3 * mm),
        paragraph(f"Worked for {worked.number}", setting.text.heading, "bold"),
        *prose(
            setting,
            f"Written one behind the other: {spelled}. Two zeros are put behind and the whole is divided by 97, six "
            "digits at a time: the rest of one line stands before the next six.",
        ),
        _division(setting, worked.steps),
        Spacer(0, 2 * mm),
        *prose(
            setting,
            f"The check is 98 less the last rest: 98 - {worked.steps[-1].rest} = {98 - worked.steps[-1].rest}, written "
            f"{worked.check}. To prove a number, put its check in place of the two zeros; the last rest must be 1:",
        ),
        _division(setting, worked.proof),
    ]


def _division(setting: Setting, steps: Sequence[Division]) -> Table:
    cells = [[f"{step.dividend}", f"= 97 × {int(step.dividend) // 97}", f"rest {step.rest}"] for step in steps]
    rows = [[paragraph(text, setting.text.text) for text in row] for row in cells]
    return Table(
        rows,
        colWidths=[28 * mm, 38 * mm, 24 * mm],
        hAlign="LEFT",
        style=[*TIGHT, ("LEFTPADDING", (0, 0), (-1, -1), 6), ("LINEBEFORE", (0, 0), (0, -1), 1.2, RULE)],
    )


def _key_check(setting: Setting, book: Book) -> list[Flowable]:
    worked = worked_key(book.example()[1])
    columns = [("Symbol", "Value", "Weight", "Product"), *([str(cell) for cell in row] for row in worked.rows)]
    cells = [[paragraph(row[line], setting.text.text) for row in columns] for line in range(4)]
    return [
        *head(setting, "key"),
        *prose(setting, *KEY_RULES),
        _values(setting, KEY_VALUES),
        Spacer(0, 3 * mm),
        paragraph(f"Worked for {worked.key}", setting.text.heading, "bold"),
        Table(
            cells,
            colWidths=[20 * mm, *[14 * mm] * len(worked.rows)],
            hAlign="LEFT",
            style=[*TIGHT, ("TOPPADDING", (0, 0), (-1, -1), 1.5), ("LINEBELOW", (0, 0), (-1, -1), 0.3, RULE)],
        ),
        Spacer(0, 2 * mm),
        *prose(setting, f"The products add up to {worked.total} = 23 × {worked.multiple}, so the key can be right."),
    ]


def _values(setting: Setting, values: Sequence[tuple[str, str]]) -> Table:
    """Signs over what they count as, 13 to a row."""
    pairs: list[list[Flowable | str]] = []
    for start in range(0, len(values), 13):
        some = values[start : start + 13]
        pairs.append([paragraph(sign, setting.text.strong, "bold") for sign, _ in some] + [""] * (13 - len(some)))
        pairs.append([paragraph(value, setting.text.text) for _, value in some] + [""] * (13 - len(some)))
    return Table(
        pairs,
        colWidths=[setting.width / 13] * 13,
        style=[
            *TIGHT,
            ("LEFTPADDING", (0, 0), (-1, -1), 4),
            *[("BACKGROUND", (0, row), (-1, row), SHADE) for row in range(0, len(pairs), 2)],
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        ],
    )


def _box(setting: Setting, title: str, content: Sequence[Flowable]) -> Table:
    """A shaded field with a head."""
    return Table(
        [[[Paragraph(escape(legible(title, "bold")), setting.text.heading)]], *([one] for one in content)],
        colWidths=[setting.width],
        splitInRow=1,
        style=[
            ("BACKGROUND", (0, 0), (-1, -1), SHADE),
            ("LEFTPADDING", (0, 0), (-1, -1), 4 * mm),
            ("RIGHTPADDING", (0, 0), (-1, -1), 4 * mm),
            ("TOPPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, 0), 2 * mm),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
            ("BOTTOMPADDING", (0, -1), (-1, -1), 2 * mm),
        ],
    )
