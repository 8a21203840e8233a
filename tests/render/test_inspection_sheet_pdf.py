"""The inspection sheet as PDF: what it says, on one page, the same bytes every time."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pypdfium2
import pytest

from service.errors import BadRequest
from service.marks.inspection_sheet import CandidateOutline, ClearanceRow, FeatureRow, InspectionSheet
from service.render.inspection_sheet_pdf import inspection_sheet_pdf
from tests.part_factory import KEY, NUMBER, make_drawing


def make_sheet(**changes: Any) -> InspectionSheet:
    """A sheet of a plate, with what ``changes`` says otherwise."""
    fields: dict[str, Any] = {
        "title": "Inspection sheet for reorder 17",
        "number": NUMBER,
        "keys": (KEY,),
        "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
        "revision": "B",
        "material": "UHMW-PE",
        "expansion": "Readings of a steel rule.",
        "ordered": datetime(2031, 3, 4, 14, 5, tzinfo=UTC),
        "drawing": make_drawing(),
        "engraving": None,
        "holes": (("A", (30.0, 45.0)),),
        "features": (FeatureRow(what="hole A: diameter", nominal_mm=24.0, readings_mm=(23.98, 24.02, 24.05)),),
        "thickness": "24.80 mm, as SW2-U2 measured, not the nominal 25 mm",
        "joints": (
            ClearanceRow(
                neighbour="SW2-U4",
                least_mm=0.12,
                median_mm=0.15,
                greatest_mm=None,
                play_mm=0.39,
                sentence="It locks as the old piece did.",
            ),
        ),
        "candidates": (
            CandidateOutline(number=NUMBER, words="SW2-U3 of A500", chosen=True, drawing=make_drawing()),
            CandidateOutline(
                number="OSV4-FC1-A330-SW2-U3-30", words="SW2-U3 of A330", chosen=False, drawing=make_drawing()
            ),
        ),
        "cautions": ("Isolate the machine.",),
        "shop_name": "Kitwright demo shop",
        "shop_telephone": "+1 202 555 0143",
    }
    return InspectionSheet(**{**fields, **changes})


def text_of(data: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pypdfium2.PdfDocument(data)]


def test_everything_stands_on_one_page() -> None:
    (page,) = text_of(inspection_sheet_pdf(make_sheet()))
    for words in (
        "Inspection sheet for reorder 17",
        "osv4-fc1-a500-sw2-u3.dxf, revision B",
        "hole A: diameter",
        "24.00",
        "23.98",
        "24.05",
        "24.80 mm, as SW2-U2 measured, not the nominal 25 mm",
        "0.12",
        "It locks as the old piece did.",
        "CUT THIS ONE: SW2-U3 of A500",
        "ruled out: SW2-U3 of A330",
        "OSV4-FC1-A330-SW2-U3-30",
        "Isolate the machine.",
        "page 1 of 1",
    ):
        assert words in page, words


def test_pages_are_counted_where_one_does_not_hold_all() -> None:
    rows = tuple(FeatureRow(what=f"hole {n}: diameter", nominal_mm=9.0, readings_mm=(9.0, 9.0, 9.0)) for n in range(70))
    pages = text_of(inspection_sheet_pdf(make_sheet(features=rows)))
    assert len(pages) > 1
    assert [f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1)] == [True] * len(pages)
    assert "hole 69: diameter" in " ".join(pages)


def test_without_look_alikes_and_joints_nothing_is_said_of_them() -> None:
    (page,) = text_of(inspection_sheet_pdf(make_sheet(candidates=(), joints=()), paper="letter"))
    assert "ruled out" not in page
    assert "Gaps" not in page


def test_the_same_sheet_is_the_same_bytes_and_other_paper_is_refused() -> None:
    assert inspection_sheet_pdf(make_sheet()) == inspection_sheet_pdf(make_sheet())
    with pytest.raises(BadRequest):
        inspection_sheet_pdf(make_sheet(), paper="a3")
