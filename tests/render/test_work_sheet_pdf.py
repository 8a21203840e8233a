"""The work sheet as PDF: one page, nothing cut off, every letter shown, and the same bytes every time."""

from __future__ import annotations

import subprocess
import sys

import pypdfium2
import pytest

from service.errors import BadRequest
from service.marks.work_sheet import AlsoCutRow, JointRow, WorkSheet
from service.render.sheet_parts import legible
from service.render.work_sheet_pdf import FITTINGS, PAPERS, work_sheet_pdf
from tests.sheet_factory import make_work_sheet


def pages_of(data: bytes) -> list[str]:
    """The text of each page, its lines joined."""
    document = pypdfium2.PdfDocument(data)
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def size_of(data: bytes) -> tuple[float, float]:
    width, height = pypdfium2.PdfDocument(data)[0].get_size()
    return float(width), float(height)


def ink_touches_border(data: bytes, border_pt: float = 20.0) -> bool:
    """Whether anything is drawn in the outermost strip of a page."""
    for page in pypdfium2.PdfDocument(data):
        image = page.render(scale=1).to_pil().convert("L")
        width, height = image.size
        inner = (int(border_pt), int(border_pt), width - int(border_pt), height - int(border_pt))
        image.paste(255, inner)
        if image.getextrema()[0] < 250:
            return True
    return False


def joint(number: int) -> JointRow:
    return JointRow(neighbour=f"OSV4-FC1-A500-SW2-U{number}-45", form="dovetail", clearance_mm=0.15, fits="same")


@pytest.mark.parametrize("paper", PAPERS)
def test_an_ordinary_reorder_takes_one_page(paper: str) -> None:
    data = work_sheet_pdf(make_work_sheet(), paper=paper)
    (text,) = pages_of(data)
    for expected in (
        "Work sheet for reorder 17",
        "OSV4-FC1-A500-SW2-U3",
        "K7M4-XRAW",
        "A500 tall round 500 mL",
        "CUT REVISION B: exact copy of the damaged piece, as built",
        "osv4-fc1-a500-sw2-u3.dxf, revision B",
        "9f86d081 884c7d65 9a2feaa0 c55ad015 a3bf4f1b 2b0b822c d15d6c15 b0f00a08",
        "2031-03-04T14:05Z",
        "Tarnquill Waters",
        "Ostrey Vale",
        "line 7",
        "crushed in a jam",
        "UHMW-PE",
        "green",
        "25 mm nominal",
        "3.21 kg each",
        "LEFT looking downstream",
        "OSV4-FC1-A500-SW2-U4-39",
        "dovetail",
        "0.15 mm",
        "not on record",
        "Sheet thickness measured",
        "Mark proved by scan",
        "Isolate and lock out",
        "+00 555 0142",
        "page 1 of 1",
    ):
        assert expected in text, expected
    assert size_of(data) == pytest.approx(PAPERS[paper], abs=0.5)
    assert not ink_touches_border(data)


def test_dimensions_of_the_outline_are_drawn() -> None:
    sheet = make_work_sheet()
    assert sheet.drawing is not None
    (text,) = pages_of(work_sheet_pdf(sheet))
    assert f"{sheet.drawing.width_mm:.1f}" in text
    assert f"{sheet.drawing.height_mm:.1f}" in text


def test_more_rows_first_make_the_text_smaller() -> None:
    assert len(pages_of(work_sheet_pdf(make_work_sheet(joints=tuple(joint(n) for n in range(12)))))) == 1


@pytest.mark.parametrize("paper", PAPERS)
def test_what_does_not_fit_one_page_goes_on_under_the_same_title(paper: str) -> None:
    sheet = make_work_sheet(
        joints=tuple(joint(n) for n in range(1, 81)),
        reasons=tuple(f"reason number {n} of many" for n in range(1, 21)),
        also_cut=tuple(
            AlsoCutRow(number=f"OSV4-FC1-A500-SW2-L{n}-39", cut_file=f"l{n}.dxf", revision="C", why="older side")
            for n in range(1, 13)
        ),
        further_keys=("P3HW9TCP", "R8CN5JF3") * 10,
    )
    data = work_sheet_pdf(sheet, paper=paper)
    pages = pages_of(data)
    assert len(pages) >= 2
    text = " ".join(pages)
    assert all(f"SW2-U{n}-45" in text for n in range(1, 81))
    assert all(f"reason number {n} of many" in text for n in range(1, 21))
    assert all(f"SW2-L{n}-39" in text for n in range(1, 13))
    assert text.count("P3HW-9TCP") == 10
    for number, page in enumerate(pages, 1):
        assert page.startswith("Work sheet for reorder 17")
        assert f"page {number} of {len(pages)}" in page
    assert not ink_touches_border(data)


@pytest.mark.parametrize("field", ["reason", "customer", "machine", "container", "material"])
@pytest.mark.parametrize("text", ["word " * 700, "x" * 2500], ids=["words", "one word"])
def test_a_long_text_is_set_whole(field: str, text: str) -> None:
    data = work_sheet_pdf(make_work_sheet(**{field: text}))
    shown = "".join(pages_of(data))
    assert shown.count(text[0]) >= text.count(text[0])
    assert not ink_touches_border(data)


def test_long_reasons_and_cautions_are_set_whole() -> None:
    sheet = make_work_sheet(reasons=("why " * 900,), cautions=("care " * 900,))
    shown = " ".join(pages_of(work_sheet_pdf(sheet)))
    assert shown.count("why") >= 900
    assert shown.count("care") >= 900


def test_nothing_is_taken_for_markup() -> None:
    hostile = "<b>bold</b> & <para> <img src='x'/> </font>"
    (text,) = pages_of(work_sheet_pdf(make_work_sheet(customer=hostile, reasons=(hostile,), cautions=(hostile,))))
    assert text.count("<b>bold</b> &") == 3


def test_letters_that_the_face_lacks_are_written_out() -> None:
    assert legible("飲 Łódź Ωmega", "regular") == "[U+98F2] Łódź Ωmega"
    (text,) = pages_of(work_sheet_pdf(make_work_sheet(customer="飲料 Łódź")))
    assert "[U+98F2][U+6599] Łódź" in text


def test_control_characters_are_blanks() -> None:
    assert legible("a\x00b\nc\td", "regular") in ("a[U+0000]b c d", "a b c d")


def test_without_a_decision_the_sheet_says_not_to_cut() -> None:
    sheet = make_work_sheet(
        outcome="no_record", cut_file=None, revision=None, sha256=None, drawing=None, engraving=None
    )
    (text,) = pages_of(work_sheet_pdf(sheet))
    assert "DO NOT CUT YET" in text
    assert "SHA-256" not in text
    assert "CUT REVISION" not in text


def test_another_paper_is_refused() -> None:
    with pytest.raises(BadRequest, match="a4 or letter"):
        work_sheet_pdf(make_work_sheet(), paper="a3")


def test_text_never_goes_below_seven_points() -> None:
    assert min(size for size, _ in FITTINGS) == 7.0


def test_the_bytes_depend_on_the_sheet_alone() -> None:
    program = (
        "import hashlib;from tests.sheet_factory import make_work_sheet;"
        "from service.render.work_sheet_pdf import work_sheet_pdf;"
        "print(hashlib.sha256(work_sheet_pdf(make_work_sheet())).hexdigest())"
    )
    digests = {
        subprocess.run([sys.executable, "-c", program], capture_output=True, check=True, text=True).stdout
        for _ in range(2)
    }
    assert len(digests) == 1


def test_a_sheet_can_be_made_without_joints_cautions_or_hand() -> None:
    sheet: WorkSheet = make_work_sheet(joints=(), cautions=(), also_cut=(), hand="", reasons=())
    (text,) = pages_of(work_sheet_pdf(sheet))
    assert "Joints" not in text
    assert "Cautions" not in text
