"""The PDF file: the same bytes for the same marks, all text in it, nothing on the wrong page."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import BadRequest
from service.marks.dots import DOTS_PER_MM, dots_per_mm
from service.marks.items import Layout
from service.render.pdf import pdf
from service.render.sheets import SHEET_SIZES_MM, impose
from tests.mark_factory import DPIS, TEMPLATE_NAMES, make_layout

ROOT = Path(__file__).parents[2]


def kit_of(count: int, *, template: str = "nameplate-60x22", dpi: int = 203) -> list[Layout]:
    return [make_layout(template, dpi=dpi, segment_of=f"segment {index} of {count}") for index in range(1, count + 1)]


def test_two_processes_write_the_same_bytes() -> None:
    program = (
        "import hashlib;from tests.render.test_pdf import kit_of;from service.render.pdf import pdf;"
        "print(hashlib.sha256(pdf(kit_of(3), paper='a4', dots_per_mm=8.0)).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", program],
            cwd=ROOT,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            check=True,
            capture_output=True,
            text=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }
    here = hashlib.sha256(pdf(kit_of(3), paper="a4", dots_per_mm=8.0)).hexdigest()
    assert digests == {here}


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_every_text_can_be_copied_out_of_the_file(name: str) -> None:
    """A letter that a font lacks would vanish without a word; here each one is found again."""
    words = "ψηλός żółty Åse Щ"
    layout = make_layout(name, assembly_name=words)
    document = pypdfium2.PdfDocument(pdf([layout], paper="roll", dots_per_mm=8.0))
    text = " ".join(document[0].get_textpage().get_text_range().split())
    document.close()
    for run in layout.texts():
        assert run.text in text


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_roll_has_one_mark_a_page_of_its_size(name: str, dpi: int) -> None:
    layouts = kit_of(2, template=name, dpi=dpi)
    document = pypdfium2.PdfDocument(pdf(layouts, paper="roll", dots_per_mm=dots_per_mm(dpi)))
    assert len(document) == 2
    for page in document:
        width_mm, height_mm = (points * 25.4 / 72 for points in page.get_size())
        assert width_mm == pytest.approx(layouts[0].width_mm, abs=25.4 / dpi)
        assert height_mm == pytest.approx(layouts[0].height_mm, abs=25.4 / dpi)
    document.close()


def test_pages_are_small() -> None:
    """Fonts are in the file once, and a plate's three symbols and ten lines take about 1.5 kB."""
    one, many = (len(pdf(kit_of(count), paper="roll", dots_per_mm=8.0)) for count in (1, 41))
    assert (many - one) / 40 < 1700


def test_the_file_speaks_of_the_marks() -> None:
    document = pypdfium2.PdfDocument(pdf(kit_of(2), paper="roll", dots_per_mm=8.0))
    facts = document.get_metadata_dict()
    document.close()
    assert facts["Title"] == "2 marks, OSV4-FC1-A500-SW2-U3-42 to OSV4-FC1-A500-SW2-U3-42"
    assert facts["Creator"] == facts["Producer"] == facts["Author"] == "Kitwright"


def test_fonts_are_embedded() -> None:
    data = pdf(kit_of(1), paper="roll", dots_per_mm=8.0)
    assert data.count(b"/FontFile2") == 2
    assert b"Helvetica" not in data


@pytest.mark.parametrize(
    ("paper", "layouts", "field"),
    [
        ("a3", kit_of(1), "paper"),
        ("roll", [], "marks"),
        ("a4", kit_of(1, dpi=300), "dpi"),
    ],
)
def test_what_cannot_be_printed_is_refused(paper: Any, layouts: list[Layout], field: str) -> None:
    with pytest.raises(BadRequest) as caught:
        pdf(layouts, paper=paper, dots_per_mm=8.0)
    assert caught.value.field == field


class TestSheets:
    @settings(max_examples=60, deadline=None)
    @given(
        count=st.integers(1, 70),
        name=st.sampled_from(TEMPLATE_NAMES),
        paper=st.sampled_from(["a4", "letter"]),
        dpi=st.sampled_from(DPIS),
    )
    def test_marks_stay_on_the_paper_and_off_each_other(self, count: int, name: str, paper: Any, dpi: int) -> None:
        layouts = [make_layout(name, dpi=dpi)] * count
        pages = list(impose(layouts, paper=paper, dots_per_mm=DOTS_PER_MM[dpi]))
        assert [mark.mark for page in pages for mark in page.marks] == list(range(count))
        for page in pages:
            for mark in page.marks:
                assert mark.left_dots >= 0
                assert mark.top_dots >= 0
                assert mark.right_dots <= page.width_dots
                assert mark.bottom_dots <= page.height_dots
                for x1, y1, x2, y2 in page.ticks:
                    assert (
                        x2 <= mark.left_dots or x1 >= mark.right_dots or y2 <= mark.top_dots or y1 >= mark.bottom_dots
                    )
            for first in page.marks:
                for second in page.marks:
                    apart = (
                        first.right_dots <= second.left_dots
                        or second.right_dots <= first.left_dots
                        or first.bottom_dots <= second.top_dots
                        or second.bottom_dots <= first.top_dots
                    )
                    assert first is second or apart

    def test_thirty_plates_share_an_a4_sheet_with_room_for_the_knife(self) -> None:
        (page,) = impose([make_layout()] * 30, paper="a4", dots_per_mm=8.0)
        lefts = sorted({mark.left_dots for mark in page.marks})
        assert [second - first for first, second in pairwise(lefts)] == [(60 + 4) * 8] * 2
        assert page.ticks

    @pytest.mark.parametrize("paper", ["a4", "letter"])
    def test_the_page_has_the_size_of_the_paper(self, paper: Any) -> None:
        document = pypdfium2.PdfDocument(pdf(kit_of(1, dpi=600), paper=paper, dots_per_mm=600 / 25.4))
        width_mm, height_mm = (points * 25.4 / 72 for points in document[0].get_size())
        document.close()
        assert (width_mm, height_mm) == pytest.approx(SHEET_SIZES_MM[paper], abs=0.1)

    def test_a_mark_larger_than_the_paper_is_refused(self) -> None:
        large = replace(make_layout("crate-label-a5"), width_mm=220.0)
        with pytest.raises(BadRequest, match="larger than the paper"):
            list(impose([large], paper="letter", dots_per_mm=8.0))
