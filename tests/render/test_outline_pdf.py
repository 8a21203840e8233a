"""The outline of a part with its dimensions in a PDF: the figures stand clear of their lines, whatever the shape."""

from __future__ import annotations

import io

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry import box

from service.render.outline_pdf import OutlinePicture
from tests.part_factory import make_drawing

Rect = tuple[float, float, float, float]


def figures(width_mm: float, height_mm: float) -> tuple[Rect, Rect, OutlinePicture]:
    """Where the two figures stand, left, bottom, right, top in points from the picture's corner, and the picture."""
    drawing = make_drawing(box(0, 0, width_mm, height_mm))
    picture = OutlinePicture(drawing, engraving=None, width=160, height=130)
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(300, 300))
    picture.drawOn(canvas, 50, 50)
    canvas.save()
    page = pypdfium2.PdfDocument(stream.getvalue())[0].get_textpage()
    found = []
    for figure in (f"{width_mm:.1f}", f"{height_mm:.1f}"):
        start, count = page.search(figure).get_next()
        boxes = [page.get_charbox(at) for at in range(start, start + count)]
        left, bottom = (min(one[at] for one in boxes) - 50 for at in (0, 1))
        right, top = (max(one[at] for one in boxes) - 50 for at in (2, 3))
        found.append((left, bottom, right, top))
    return found[0], found[1], picture


@pytest.mark.parametrize(
    ("width_mm", "height_mm"),
    [(300.0, 200.0), (620.0, 32.0), (620.0, 90.0), (32.5, 620.0), (9000.0, 10.0), (10.0, 9000.5)],
)
def test_no_figure_touches_a_line_or_the_other_figure(width_mm: float, height_mm: float) -> None:
    wide, high, picture = figures(width_mm, height_mm)
    room = 8 * 72 / 25.4
    part_width, part_height = picture.width - room, picture.height - room
    far, low = part_width + 0.62 * room, 0.38 * room
    assert wide[2] < high[0] or high[2] < wide[0] or wide[3] < high[1] or high[3] < wide[1]
    upright = high[2] - high[0] > high[3] - high[1]
    if upright:
        assert high[3] < room - 1, "below the line that it belongs to"
    else:
        assert high[2] < far, "left of its line"
        assert room < high[1], "between the ends of its line"
        assert high[3] < room + part_height
    if part_width > wide[2] - wide[0]:
        assert wide[0] > 0, "between the ends of its line"
        assert wide[2] < part_width
        assert wide[1] > low, "over its line"
    else:
        assert wide[0] > part_width, "beside its line"


def test_a_figure_stands_along_its_line_where_there_is_room() -> None:
    _, high, _ = figures(300.0, 200.0)
    assert high[3] - high[1] > high[2] - high[0]
    _, high, _ = figures(620.0, 32.0)
    assert high[3] - high[1] < high[2] - high[0]
