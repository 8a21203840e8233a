"""Labels and dimensions are given back in the order in which they are set, wherever the parts lie."""

from __future__ import annotations

import io

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from service.marks.page_check import counted
from service.marks.plan import PlanPart, lay_out_plan
from service.render.book_pdf import book_pdf, prove_book
from service.render.panel_pdf import PanelPicture
from service.render.recording_canvas import RecordingCanvas
from tests.book_factory import SHA, make_book
from tests.part_factory import GREEN, make_drawing

CORNERS = st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=2, max_size=14, unique=True)


def panel_of(corners: list[tuple[int, int]], side_mm: float) -> PanelPicture:
    """Squares with their lower left corners on a grid of 25 mm, moved a little so that few lie on one height."""
    parts = [
        PlanPart(
            id=str(index),
            place=f"SW1-U{index}",
            deck="upper",
            assembly="star wheel",
            drawing=make_drawing(box(25 * x, 25 * y + 1.3 * x, 25 * x + side_mm, 25 * y + 1.3 * x + side_mm)),
            colour=GREEN,
            label=f"U{index}",
            quantity=1 if index % 3 else 40,
        )
        for index, (x, y) in enumerate(corners, 1)
    ]
    return PanelPicture(lay_out_plan(parts, width_px=500).panels[0].panel, width=500, height=210)


@settings(max_examples=50, deadline=None)
@given(CORNERS, st.sampled_from([4.0, 12.0, 24.0]))
def test_labels_are_read_in_the_order_in_which_they_are_set(corners: list[tuple[int, int]], side_mm: float) -> None:
    buffer = io.BytesIO()
    canvas = RecordingCanvas(buffer, pagesize=(600, 300), invariant=1)
    panel_of(corners, side_mm).drawOn(canvas, 50, 50)
    canvas.showPage()
    canvas.save()
    document = pypdfium2.PdfDocument(buffer.getvalue())
    text = document[0].get_textpage().get_text_range()
    document.close()
    assert counted(text) == counted(" ".join(canvas.said))


@pytest.mark.parametrize(("width_mm", "height_mm"), [(900, 6), (6, 900), (5, 5), (2000, 2), (0.5, 0.5), (300, 299)])
def test_parts_of_any_proportion_stand_in_a_book_that_proves_itself(width_mm: float, height_mm: float) -> None:
    data = book_pdf(make_book(), {SHA: make_drawing(box(0, 0, width_mm, height_mm))})
    assert prove_book(data, name="OSV4-FC1-A500") > 5
