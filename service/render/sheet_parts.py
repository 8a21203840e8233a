"""The pieces of a work sheet: type styles, the large number, keys over a base line, tick boxes, the colour patch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable, Paragraph

from service.marks.lettering import Weight
from service.render.fonts import metrics, pdf_font

INK = HexColor("#15211e")
RULE = HexColor("#8a9692")

_NUMBER_PT = 38.0
_KEY_PT = 20.0


@dataclass(frozen=True, slots=True)
class SheetStyles:
    """Paragraph styles that hang together with one text size."""

    text: ParagraphStyle
    strong: ParagraphStyle
    label: ParagraphStyle
    heading: ParagraphStyle
    bar: ParagraphStyle
    large: ParagraphStyle

    @property
    def text_pt(self) -> float:
        """The size of running text in points."""
        return float(self.text.fontSize)


def sheet_styles(text_pt: float, *, bar_colour: Color) -> SheetStyles:
    """The styles for running text of ``text_pt`` points."""

    def style(name: str, weight: Weight, size: float, colour: Color, **more: float) -> ParagraphStyle:
        return ParagraphStyle(
            name, fontName=pdf_font(weight), fontSize=size, leading=1.22 * size, textColor=colour, **more
        )

    return SheetStyles(
        text=style("text", "regular", text_pt, INK),
        strong=style("strong", "bold", text_pt, INK),
        label=style("label", "regular", max(7.0, text_pt - 1), HexColor("#4d5a56")),
        heading=style("heading", "bold", text_pt + 1.5, INK, spaceBefore=0.55 * text_pt, spaceAfter=0.2 * text_pt),
        bar=style("bar", "bold", text_pt + 3.5, bar_colour),
        large=style("large", "bold", text_pt + 5, INK),
    )


def legible(text: str, weight: Weight) -> str:
    """Text on one line in which every letter that the face lacks is written out, for example ``[U+4E2D]``.

    A name that cannot be drawn must not stop a spare part, and must not vanish either.
    """
    flat = " ".join(text.split())
    lacking = metrics(weight).missing(flat)
    for char in lacking:
        flat = flat.replace(char, f"[U+{ord(char):04X}]")
    return flat


def paragraph(text: str, style: ParagraphStyle, weight: Weight = "regular") -> Paragraph:
    """A paragraph of plain text; nothing in it is taken for markup."""
    return Paragraph(escape(legible(text, weight)), style)


class NumberLine(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """The number across the whole width, its check set apart in a frame."""

    def __init__(self, body: str, check: str, width: float) -> None:
        super().__init__()
        self._body, self._check = legible(body, "bold"), legible(check, "bold")
        self._font = pdf_font("bold")
        one = stringWidth(self._body, self._font, 1) + stringWidth(self._check, self._font, 1) + 1.1
        self._size = min(_NUMBER_PT, width / one)
        self.width, self.height = width, 1.18 * self._size

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the body from the left and the framed check at the right end."""
        canvas, size = self.canv, self._size
        canvas.setFillColor(INK)
        canvas.setFont(self._font, size)
        canvas.drawString(0, 0.24 * size, self._body)
        frame = stringWidth(self._check, self._font, size) + 0.5 * size
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.05 * size)
        canvas.rect(self.width - frame, 0.04 * size, frame - 0.03 * size, 1.08 * size, stroke=1, fill=0)
        canvas.drawCentredString(self.width - frame / 2, 0.24 * size, self._check)


class KeyLines(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """Keys in two fours, each over a base line: the first large, the others in columns below it."""

    def __init__(self, keys: Sequence[str], width: float, text_pt: float) -> None:
        super().__init__()
        self._keys, self._small = [legible(key, "bold") for key in keys], text_pt + 2
        self._font = pdf_font("bold")
        column = stringWidth("WWWW-WWWW", self._font, self._small) + 8
        self._columns = max(1, int(width / column))
        rows = -(-(len(keys) - 1) // self._columns)
        self.width, self._row = width, 1.5 * self._small
        self.height = 1.25 * _KEY_PT + rows * self._row

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw every key and its line."""
        top = self.height - _KEY_PT
        self._key(self._keys[0], 0, top, _KEY_PT)
        for index, key in enumerate(self._keys[1:]):
            row, column = divmod(index, self._columns)
            self._key(key, column * self.width / self._columns, top - (row + 1) * self._row, self._small)

    def _key(self, key: str, x: float, y: float, size: float) -> None:
        canvas = self.canv
        canvas.setFillColor(INK)
        canvas.setStrokeColor(INK)
        canvas.setFont(self._font, size)
        canvas.drawString(x, y, key)
        canvas.setLineWidth(0.06 * size)
        canvas.line(x, y - 0.16 * size, x + stringWidth(key, self._font, size), y - 0.16 * size)


class TickBox(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """An empty square to be ticked."""

    def __init__(self, side: float) -> None:
        super().__init__()
        self.width = self.height = side

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the square."""
        self.canv.setStrokeColor(INK)
        self.canv.setLineWidth(0.9)
        self.canv.rect(0, 0, self.width, self.height, stroke=1, fill=0)


class Swatch(Flowable):  # type: ignore[misc]  # reportlab carries no types
    """A patch of the stock colour beside its word."""

    def __init__(self, word: str, rgb: tuple[int, int, int], text_pt: float) -> None:
        super().__init__()
        self._word, self._rgb, self._pt = legible(word, "bold"), rgb, text_pt
        self._font = pdf_font("bold")
        self.height = 1.22 * text_pt
        self.width = 9 * mm + stringWidth(self._word, self._font, text_pt)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:  # noqa: ARG002  # reportlab's signature
        """The size that is drawn."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw the patch and the word."""
        canvas = self.canv
        canvas.setFillColorRGB(*(level / 255 for level in self._rgb))
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.5)
        canvas.rect(0, 0.1 * self._pt, 7 * mm, self._pt, stroke=1, fill=1)
        canvas.setFillColor(INK)
        canvas.setFont(self._font, self._pt)
        canvas.drawString(9 * mm, 0.24 * self._pt, self._word)
