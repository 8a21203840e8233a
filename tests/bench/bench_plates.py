"""Nameplates to PDF, one a page, beside pages that bear the same texts alone; and where the time of a print goes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from random import Random

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import Block, Layout, PlacedSymbol, TextRun
from service.marks.layout import lay_out
from service.marks.symbols import SymbolKind, data_matrix, qr
from service.numbering.key import Key
from service.numbering.number import KitNumber, Number, Place
from service.render.fonts import pdf_font, typeface
from service.render.pdf import pdf
from service.render.read_back import read_back_pdf
from service.work.drawing_room import draw_plates
from tests.bench.rounds import Comparison, Contestant
from tests.mark_factory import make_facts, make_template

PLATES = 300
_DPI = 203
_PER_MM = dots_per_mm(_DPI)
_POINTS_PER_MM = 72 / 25.4
_MOST_BYTES: dict[SymbolKind, int] = {"data_matrix": 800, "qr": 1000}


@contextmanager
def comparisons(*, plates: int = PLATES) -> Iterator[list[Comparison]]:
    """The plates of one kit, each with its own number and key."""
    marks = plates_of_a_kit(plates)
    shipped = make_template()
    matrix, qr = _with_one(shipped, "data_matrix"), _with_one(shipped, "qr")
    laid = {name: _laid_out(template, marks) for name, template in (("matrix", matrix), ("qr", qr), ("all", shipped))}
    laid["pair"] = _laid_out(_with_pair(), marks)
    yield [
        Comparison(
            title=f"{plates} nameplates to PDF, one a page (Data Matrix 1.0, QR Code 0.6 of the yardstick's speed)",
            unit="plate",
            yardstick=_drawing("the texts alone, plain reportlab", lambda: _texts_alone(laid["all"]), plates),
            others=[
                _drawing("texts, band and a Data Matrix", lambda: _to_pdf(laid["matrix"]), plates),
                _drawing("texts, band and a QR Code", lambda: _to_pdf(laid["qr"]), plates),
                _drawing("the plate as it is, all its symbols", lambda: _to_pdf(laid["all"]), plates),
            ],
            goals={"texts, band and a Data Matrix": 1.0, "texts, band and a QR Code": 1 / 0.6},
        ),
        Comparison(
            title=f"{plates} nameplates to PDF: every page drawn afresh, and symbols and shared parts drawn once",
            unit="plate",
            yardstick=_drawing("afresh, plain reportlab", lambda: _afresh(laid["all"]), plates),
            others=[
                _drawing("the plate as it is, all its symbols", lambda: _to_pdf(laid["all"]), plates),
            ],
            goals={"the plate as it is, all its symbols": 1.0},
        ),
        Comparison(
            title=f"{plates} nameplates with QR Code and Code 128 to PDF (0.6 of the yardstick's speed)",
            unit="plate",
            yardstick=_drawing("the texts alone, plain reportlab", lambda: _texts_alone(laid["pair"]), plates),
            others=[
                _drawing("texts, band, QR Code and Code 128", lambda: _to_pdf(laid["pair"]), plates),
                _drawing("the same afresh, plain reportlab", lambda: _afresh(laid["pair"]), plates),
            ],
            goals={"texts, band, QR Code and Code 128": 1 / 0.6},
        ),
        Comparison(
            title="Where the time of a first print goes",
            unit="plate",
            yardstick=_drawing("drawn and proven, whole", lambda: _whole(shipped, marks), plates),
            others=[
                _drawing("symbols encoded", lambda: _encoded(marks), plates),
                _drawing("laid out, symbols at hand", lambda: _laid_out(shipped, marks), plates),
                _drawing("written as PDF", lambda: _to_pdf(laid["all"]), plates),
                _drawing("read back out of the PDF", _reading_back(laid["all"]), plates),
            ],
        ),
        _size("Bytes of a plate with a Data Matrix", "data_matrix", laid["matrix"]),
        _size("Bytes of a plate with a QR Code", "qr", laid["qr"]),
    ]


def plates_of_a_kit(count: int) -> list[MarkFacts]:
    """The plates of one kit, each with its own number and key."""
    return [_mark(index) for index in range(count)]


def _mark(index: int) -> MarkFacts:
    place = Place("SW", 1 + index // 50, "LMUK"[index % 4], 1 + index % 50)
    number = Number(KitNumber("OSV", 4, "FC", 1, "A", 500), place)
    return make_facts(
        number=str(number),
        key=str(Key.random(Random(index))),
        place=str(place),
        assembly_code=f"SW{place.assembly_ordinal}",
        segment_of=f"segment {place.ordinal} of 50",
    )


def _with_one(template: LabelTemplate, kind: SymbolKind) -> LabelTemplate:
    """The template with its first symbol of a kind alone."""
    symbol = next(symbol for symbol in template.symbols if symbol.kind == kind)
    return template.model_copy(update={"symbols": (symbol,)})


def _with_pair() -> LabelTemplate:
    """The nameplate that has room for a Code 128, with it and its QR Code alone."""
    template = make_template("nameplate-90x35")
    pair = tuple(symbol for symbol in template.symbols if symbol.kind in ("qr", "code128"))
    return template.model_copy(update={"symbols": pair})


def _afresh(layouts: Sequence[Layout]) -> bytes:
    """A page a plate with everything on it drawn for itself: band, shapes, texts, and each module of each symbol."""
    rl_config.useA85 = 0
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1, initialFontName=pdf_font("regular"))
    for layout in layouts:
        height = layout.height_mm * _POINTS_PER_MM
        canvas.setPageSize((layout.width_mm * _POINTS_PER_MM, height))
        for item in layout.items:
            if isinstance(item, Block):
                canvas.setFillColorRGB(*(channel / 255 for channel in item.rgb))
                area = item.extent
                left, bottom = area.left * _POINTS_PER_MM, height - area.bottom * _POINTS_PER_MM
                size = (area.right - area.left) * _POINTS_PER_MM, (area.bottom - area.top) * _POINTS_PER_MM
                canvas.rect(left, bottom, *size, stroke=0, fill=1)
            elif isinstance(item, TextRun):
                canvas.setFillColorRGB(*(channel / 255 for channel in item.rgb))
                canvas.setFont(pdf_font(item.weight), item.size_mm * _POINTS_PER_MM)
                canvas.drawString(item.x_mm * _POINTS_PER_MM, height - item.baseline_mm * _POINTS_PER_MM, item.text)
            elif isinstance(item, PlacedSymbol):
                canvas.setFillColorRGB(0, 0, 0)
                path = canvas.beginPath()
                dot = _POINTS_PER_MM / item.per_mm
                for column, row, width, rows in item.modules.rectangles():
                    path.rect(
                        (item.left_dots + column * item.module_dots) * dot,
                        height - (item.top_dots + (row + rows) * item.row_dots) * dot,
                        width * item.module_dots * dot,
                        rows * item.row_dots * dot,
                    )
                canvas.drawPath(path, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _laid_out(template: LabelTemplate, marks: Sequence[MarkFacts]) -> list[Layout]:
    return [lay_out(template, facts, typeface(), _PER_MM) for facts in marks]


def _to_pdf(layouts: Sequence[Layout]) -> bytes:
    return pdf(layouts, paper="roll", dots_per_mm=_PER_MM)


def _encoded(marks: Sequence[MarkFacts]) -> None:
    """Every symbol as if it were printed for the first time."""
    qr.cache_clear()
    data_matrix.cache_clear()
    for facts in marks:
        qr(facts.link)
        data_matrix(facts.key)


def _whole(template: LabelTemplate, marks: Sequence[MarkFacts]) -> bytes:
    qr.cache_clear()
    data_matrix.cache_clear()
    return draw_plates(template, marks, paper="roll", dpi=_DPI)


def _reading_back(layouts: Sequence[Layout]) -> Callable[[], object]:
    data = _to_pdf(layouts)
    return lambda: read_back_pdf(data, layouts, paper="roll", dots_per_mm=_PER_MM)


def _texts_alone(layouts: Sequence[Layout]) -> bytes:
    """What anybody would write first: a page a plate, its lines set in the same faces and sizes."""
    # Without it every page is also put into letters, as for mail.
    rl_config.useA85 = 0
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1, initialFontName=pdf_font("regular"))
    for layout in layouts:
        canvas.setPageSize((layout.width_mm * _POINTS_PER_MM, layout.height_mm * _POINTS_PER_MM))
        for run in layout.texts():
            canvas.setFont(pdf_font(run.weight), run.size_mm * _POINTS_PER_MM)
            up_mm = layout.height_mm - run.baseline_mm
            canvas.drawString(run.x_mm * _POINTS_PER_MM, up_mm * _POINTS_PER_MM, run.text)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _drawing(name: str, draw: Callable[[], object], plates: int) -> Contestant:
    return Contestant(name=name, run=draw, count=plates)


def _size(title: str, kind: SymbolKind, layouts: Sequence[Layout]) -> Comparison:
    """The size of the file over its plates, faces included, beside the most that is allowed."""
    return Comparison(
        title=title,
        unit="plate",
        yardstick=Contestant(name="the most allowed", run=lambda: _MOST_BYTES[kind], measures=True),
        others=[
            Contestant(
                name="the whole file, faces included",
                run=lambda: len(_to_pdf(layouts)),
                count=len(layouts),
                measures=True,
            )
        ],
        goals={"the whole file, faces included": 1.0},
        rounds=1,
        in_bytes=True,
    )
