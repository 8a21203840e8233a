"""The chapter of the paper book on which revision to cut: the questions as a flow, how joints count, and an example."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from service.marks.book import Book
from service.marks.book_revision import AT_THE_END, JOINT_RULES, NEVER, WAY, WorkedExample
from service.render.book_parts import SHADE, TABLE_PT, Setting, grid_table, head, prose
from service.render.fonts import pdf_font
from service.render.sheet_parts import INK, paragraph
from service.render.sheet_tables import TIGHT

_ASK_SHARE, _ARROW_SHARE = 0.52, 0.09
_DOWN = 6.5 * mm
_HEAD = 4.0
_SHAFT_AT = 10 * mm


class _Arrow(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """An arrow to the right, or down when ``length`` is a height, with the answer that it stands for."""

    def __init__(self, answer: str, *, width: float, height: float, down: bool) -> None:
        super().__init__()
        self.width, self.height = width, height
        self._answer, self._down = answer, down

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw shaft, head and answer."""
        canvas = self.canv
        canvas.setStrokeColor(INK)
        canvas.setFillColor(INK)
        canvas.setLineWidth(0.8)
        canvas.setFont(pdf_font("bold"), TABLE_PT)
        path = canvas.beginPath()
        if self._down:
            canvas.drawString(_SHAFT_AT + 5, self.height / 2 - 0.36 * TABLE_PT, self._answer)
            canvas.line(_SHAFT_AT, self.height, _SHAFT_AT, _HEAD)
            points = [(_SHAFT_AT, 0.0), (_SHAFT_AT - 2.4, _HEAD + 1), (_SHAFT_AT + 2.4, _HEAD + 1)]
        else:
            middle = self.height / 2 - 0.3 * TABLE_PT
            wide = stringWidth(self._answer, pdf_font("bold"), TABLE_PT)
            canvas.drawString((self.width - wide) / 2 - 1, middle + 3, self._answer)
            canvas.line(0, middle, self.width - _HEAD, middle)
            points = [
                (self.width, middle),
                (self.width - _HEAD - 1, middle + 2.4),
                (self.width - _HEAD - 1, middle - 2.4),
            ]
        path.moveTo(*points[0])
        for point in points[1:]:
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)


def revision_chapter(setting: Setting, book: Book) -> list[Flowable]:
    """The flow, what never is, how joints count, and the example of this kit."""
    story = [
        *head(setting, "revision"),
        *prose(setting, "Begin with question 1 and follow the arrows to the box that says what is cut."),
        _flow(setting),
        Spacer(0, 3 * mm),
        *prose(setting, NEVER, *JOINT_RULES),
    ]
    if book.example_choice is not None:
        story += _example(setting, book.example_choice)
    return story


def _flow(setting: Setting) -> Table:
    """Questions on the left, each with its way down and its way out to the right."""
    ask, arrow = _ASK_SHARE * setting.width, _ARROW_SHARE * setting.width
    cells: list[list[Flowable | str | list[Flowable]]] = []
    boxed: list[tuple[object, ...]] = []
    for number, question in enumerate(WAY, 1):
        row = len(cells)
        cells.append(
            [
                [paragraph(f"Question {number}", setting.text.label), paragraph(question.ask, setting.text.text)],
                _Arrow(question.aside, width=arrow, height=12 * mm, down=False),
                _outcome(setting, question.outcome, question.do),
            ]
        )
        cells.append([_Arrow(question.onward, width=ask, height=_DOWN, down=True), "", ""])
        boxed += [("BOX", (0, row), (0, row), 0.8, INK), ("BOX", (2, row), (2, row), 0.8, INK)]
        boxed += [("BACKGROUND", (2, row), (2, row), SHADE), *_padded(0, row), *_padded(2, row)]
    last = len(cells)
    cells.append([_outcome(setting, *AT_THE_END), "", ""])
    boxed += [("BOX", (0, last), (0, last), 0.8, INK), ("BACKGROUND", (0, last), (0, last), SHADE), *_padded(0, last)]
    return Table(
        cells,
        colWidths=[ask, arrow, setting.width - ask - arrow],
        style=[*TIGHT, ("VALIGN", (0, 0), (-1, -1), "MIDDLE"), *boxed],
    )


def _outcome(setting: Setting, outcome: str, do: str) -> list[Flowable]:
    return [paragraph(outcome, setting.text.strong, "bold"), paragraph(do, setting.text.text)]


def _padded(column: int, row: int) -> list[tuple[object, ...]]:
    cell = (column, row)
    return [
        ("LEFTPADDING", cell, cell, 5),
        ("RIGHTPADDING", cell, cell, 5),
        ("TOPPADDING", cell, cell, 3),
        ("BOTTOMPADDING", cell, cell, 4),
    ]


def _example(setting: Setting, worked: WorkedExample) -> Sequence[Flowable]:
    table = grid_table(
        setting.text,
        [share * setting.width for share in (0.2, 0.17, 0.2, 0.43)],
        ("Asked", "Outcome", "Cut", "Why"),
        [
            [
                paragraph(one.asked, setting.text.text),
                paragraph(one.outcome, setting.text.strong, "bold"),
                paragraph(one.cut, setting.text.text),
                [paragraph(reason, setting.text.text) for reason in one.reasons],
            ]
            for one in worked.choices
        ],
        shaded=False,
    )
    said = (
        f"{worked.piece} was cut from revision {worked.built}. Say it breaks, and all its neighbours survive. What the "
        f"revisions changed stands on the page of {worked.place} in chapter 7."
    )
    return [
        KeepTogether(
            [
                paragraph(f"Worked for {worked.number}", setting.text.heading, "bold"),
                *prose(setting, said),
                table,
            ]
        )
    ]
