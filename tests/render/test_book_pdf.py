"""The paper book as PDF: all of it is there, nothing is cut off, every page proves itself, the bytes are stable."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from stdnum.iso7064 import mod_97_10

from service.errors import BadRequest, ReadBackFailed
from service.marks.book import Book, BookMaterial, PastRow, SpentNumber
from service.marks.book_segment import BookPiece, BookSegment
from service.marks.page_check import proves_itself
from service.marks.work_sheet import in_groups
from service.render.book_pdf import book_pdf, prove_book
from service.render.work_sheet_pdf import PAPERS
from tests.book_factory import OLDER_SHA, SHA, make_book, make_book_segment, make_revision, outlines


def texts(data: bytes) -> list[str]:
    """The text of each page."""
    return [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data)]


def flat(data: bytes) -> str:
    """The text of the book on one line, hyphens at line ends put back."""
    return " ".join(" ".join(texts(data)).replace("\ufffe", "-").split())


def squeezed(text: str) -> str:
    """A text without blanks and hyphens: where a line ends does not matter."""
    return "".join(char for char in text if char.isprintable() and not char.isspace() and char != "-")


def ink_in_the_margin(data: bytes, margin_pt: int = 34) -> bool:
    """Whether anything is drawn in the outermost strip of a page."""
    for page in pypdfium2.PdfDocument(data):
        image = page.render(scale=1).to_pil().convert("L")
        width, height = image.size
        image.paste(255, (margin_pt, margin_pt, width - margin_pt, height - margin_pt))
        if image.getextrema()[0] < 250:
            return True
    return False


@pytest.mark.parametrize("paper", PAPERS)
def test_everything_about_a_segment_is_in_the_book(paper: str) -> None:
    data = book_pdf(make_book(), outlines(), paper=paper)
    text = flat(data)
    for expected in (
        "OSV4-FC1-A500-SW2-U3-42",
        "K7M4-XRAW",
        "P3HW-9TCP",
        "reworked on site: edge eased",
        in_groups(SHA),
        in_groups(OLDER_SHA),
        "osv4-fc1-a500-sw2-u3.dxf",
        "Changes the joint to SW2-U4. stronger dovetails",
        "OSV4-FC1-A500-SW2-U4-39",
        "dovetail, 0.15 mm a side",
        "0 in -; 1 in B",
        "0 in -, A; 1 in C",
        "UHMW-PE",
        "25 mm nominal, 25.2 mm measured",
        "3.21 kg",
        "LEFT looking downstream",
        "green",
        "tall round 500 mL",
        "Tarnquill Waters",
        "Ostrey Vale",
        "line 4",
        "line 7",
        "1 Router Lane",
        "+00 555 0142",
        "this tool does not authorise work",
    ):
        assert expected in text, expected
    assert squeezed(f"{OLDER_SHA}:17") in squeezed(text)
    drawing = outlines()[SHA]
    assert f"{drawing.width_mm:.1f}" in text
    assert f"{drawing.height_mm:.1f}" in text
    width, height = pypdfium2.PdfDocument(data)[0].get_size()
    assert (width, height) == pytest.approx(PAPERS[paper], abs=0.5)
    assert not ink_in_the_margin(data)


def test_every_page_proves_itself_and_names_itself() -> None:
    data = book_pdf(make_book(), outlines())
    pages = texts(data)
    assert prove_book(data, name="OSV4-FC1-A500") == len(pages)
    for number, text in enumerate(pages, 1):
        assert text.startswith("Kit OSV4-FC1-A500")
        assert f"page {number} of {len(pages)}" in text
        assert proves_itself(text)
        # The rule as it is printed, by hand.
        above = text[: text.rindex("Page check")]
        value = hashlib.sha256(squeezed(above.replace("\ufffe", "")).encode()).hexdigest()[:8]
        assert f"{value[:4]} {value[4:]}" in text


def test_a_page_that_says_something_else_is_refused() -> None:
    honest = book_pdf(make_book(), outlines())
    forged = pypdfium2.PdfDocument(honest)
    page = forged[0]
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_TEXT]):
        page.remove_obj(thing)
        break
    page.gen_content()
    target = Path(__file__).with_suffix(".tmp")
    try:
        forged.save(target)
        with pytest.raises(ReadBackFailed) as caught:
            prove_book(target.read_bytes(), name="OSV4-FC1-A500")
    finally:
        target.unlink(missing_ok=True)
    assert caught.value.place == "page 1"


def test_the_check_is_worked_for_the_first_number_of_the_kit() -> None:
    text = flat(book_pdf(make_book(), outlines()))
    check = mod_97_10.calc_check_digits("OSV4FC1A500SW2U3")
    assert "Worked for OSV4-FC1-A500-SW2-U3-42" in text
    assert f"written {check}." in text
    assert "24 28 31 4 15 12 1 10 5 0 0 28 32 2 30 3." in text
    assert "Worked for K7M4-XRAW" in text


def test_the_bytes_depend_on_the_book_alone() -> None:
    first = book_pdf(make_book(), outlines())
    assert book_pdf(make_book(), outlines()) == first
    assert book_pdf(make_book(customer="Pellworth Sauces"), outlines()) != first
    program = (
        "import hashlib; from service.render.book_pdf import book_pdf; "
        "from tests.book_factory import make_book, outlines; "
        "print(hashlib.sha256(book_pdf(make_book(), outlines())).hexdigest())"
    )
    other = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2]
    )
    assert other.stdout.strip() == hashlib.sha256(first).hexdigest()


@pytest.mark.parametrize(
    "name",
    [
        "<b>bold</b> & <font color='red'>red</font>",
        "Wasser & Söhne <i>",
        "</para><para>",
        "水 bottle",
        "a‑b\u00ad c\u200bd",
        "ﬁne ½ ™",
        "Ω Ж ł",
        "W" * 240,
        "%s {0} \\n",
    ],
)
def test_hostile_names_are_shown_as_they_are(name: str) -> None:
    segment = replace(make_book_segment(), assembly=name, material=name, marked_face=name)
    data = book_pdf(make_book(container=name, customer=name, shop_name=name, segments=(segment,)), outlines())
    text = squeezed(flat(data))
    for char in name.replace("ﬁ", "fi"):
        assert squeezed(char) in text or f"[U+{ord(char):04X}]" in text
    if name.isascii():
        assert squeezed(name) in text
    assert not ink_in_the_margin(data)


def test_a_letter_without_a_glyph_is_written_out() -> None:
    assert "[U+6C34] bottle" in flat(book_pdf(make_book(container="水 bottle"), outlines()))


@pytest.mark.parametrize(("paper", "count"), [("a4", 40), ("letter", 150)])
def test_long_kits_go_on_under_repeated_heads(paper: str, count: int) -> None:
    segments = tuple(
        make_book_segment(ordinal=ordinal, pieces=(), joints=(), revisions=(make_revision(),))
        for ordinal in range(1, count + 1)
    )
    data = book_pdf(make_book(segments=segments), outlines(), paper=paper)
    text = flat(data)
    for segment in segments:
        # In the table, on its page, in the index.
        assert text.count(segment.number) >= 2, segment.number
        assert segment.number.rpartition("-")[0] in text
    tables = [page for page in texts(data) if "Cut file" in page and "As built" in page and "Place" in page]
    assert len(tables) >= 2
    assert not ink_in_the_margin(data)


def test_a_table_longer_than_a_page_keeps_every_row() -> None:
    many = tuple(
        BookPiece(
            key=None, set_number=number, count=1, revision="B", condition="fitted", deviations=f"rework {number}."
        )
        for number in range(1, 121)
    )
    wordy = make_revision(note="zwieback " * 400, withdrawn="2032-01-01: cracks")
    data = book_pdf(make_book(segments=(make_book_segment(pieces=many, revisions=(wordy,)),)), outlines())
    text = flat(data)
    assert all(f"rework {number}." in text for number in range(1, 121))
    assert text.count("zwieback") == 400
    assert "WITHDRAWN 2032-01-01: cracks" in text
    assert not ink_in_the_margin(data)


def test_the_index_leads_to_the_page_of_each_key() -> None:
    segments = tuple(make_book_segment(ordinal=ordinal) for ordinal in range(1, 5))
    pages = texts(book_pdf(make_book(segments=segments), outlines()))
    cards = {
        number: page
        for page, text in enumerate(pages, 1)
        for number in places(segments)
        if f"Piece of {number}" in text
    }
    (index,) = [text for text in pages if "12 Index of keys" in " ".join(text.split()) and "Borne by" in text]
    for segment in segments:
        lines = " ".join(index.replace("\ufffe", "-").split())
        assert f"{segment.number} {segment.place} segment {cards[segment.place]}" in lines


def places(segments: tuple[BookSegment, ...]) -> list[str]:
    return [segment.place for segment in segments]


def empty_book() -> Book:
    spent = SpentNumber(number="OSV4-FC1-A500-SW2-U3-42", key="K7M4-XRAW", place="SW2-U3", reason="cut up otherwise")
    return make_book(segments=(), spent=(spent,), materials=())


def test_a_kit_whose_places_are_all_given_up_has_a_book() -> None:
    text = flat(book_pdf(empty_book(), {}))
    assert "OSV4-FC1-A500-SW2-U3-42" in text
    assert "cut up otherwise" in text


def test_what_is_not_on_record_is_said() -> None:
    unknown = BookMaterial(name="old stock", density_g_cm3=None, alpha_per_k=None, max_continuous_c=None)
    segment = make_book_segment(built=None, pieces=(), joints=(), material="old stock", colour="plaid")
    text = flat(book_pdf(make_book(segments=(segment,), materials=(unknown,), colour="plaid"), outlines()))
    assert text.count("not on record") >= 4


def test_what_speaks_against_using_the_kit_stands_first() -> None:
    book = make_book(retired="2040-05-06: line scrapped", check_first=("a survey of 2035-01-02 is newer than the kit",))
    text = flat(book_pdf(book, outlines()))
    assert "RETIRED 2040-05-06: line scrapped" in text
    first = text.index("out of use since 2040-05-06")
    assert first < text.index("Check before the kit is used again: a survey") < text.index("Isolate and lock out")


def test_the_past_of_the_machine_is_told() -> None:
    past = (PastRow(since="the beginning", until="2031-03-01", words="machine on line 4, Ostrey Vale (OSV4)"),)
    assert "the beginning 2031-03-01 machine on line 4, Ostrey Vale (OSV4)" in flat(
        book_pdf(make_book(past=past), outlines())
    )


def test_another_paper_is_refused() -> None:
    with pytest.raises(BadRequest):
        book_pdf(make_book(), outlines(), paper="roll")
