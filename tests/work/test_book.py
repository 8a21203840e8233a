"""The paper book off the records: everything that a kit holds is in it, and making it writes nothing down."""

from __future__ import annotations

import pypdfium2
import pytest
from sqlalchemy import text as sql

from schemas.answers import KitAnswer
from schemas.machines import MoveRequest, RenameRequest
from schemas.pieces import RetirementRequest, ScrapRequest, SetRequest
from schemas.requests import CorrectionRequest, ShopRequest
from service.errors import BadRequest, KitUnknown
from service.marks.work_sheet import in_groups, two_fours
from service.store import ledger
from service.work.book import kit_book
from service.work.correct import correct_kit
from service.work.make_set import make_set
from service.work.move import move_machine
from service.work.rename import rename_plant
from service.work.retire import retire_kit
from service.work.scrap import scrap_piece
from service.work.shop_facts import set_shop_facts
from service.work.show_kit import show_kit
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, file_of, issue_small, make_dxf, manifest, release, segment

KIT = "OSV4-FC1-A500"


def text_of(data: bytes) -> str:
    """The text of a book on one line, hyphens at line ends put back."""
    pages = (page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(data))
    return " ".join(" ".join(pages).replace("\ufffe", "-").split())


def test_every_number_key_and_hash_of_a_kit_is_in_its_book(workshop: Workshop, issued: KitAnswer) -> None:
    set_shop_facts(workshop, ShopRequest(name="the shop", address="1 Router Lane", telephone="+00 555 0142"))
    text = text_of(kit_book(workshop, KIT))
    with workshop.database.read() as connection:
        hashes = connection.scalars(sql("SELECT sha256 FROM revision")).all()
        tip = str(ledger.tip(connection))
    assert len(hashes) == 6
    for one in issued.segments:
        assert one.number in text
        assert one.key is not None
        assert two_fours(one.key) in text
        assert f"SHA-256 of {one.cut_file}" in text
        for piece in one.pieces:
            assert piece.key is not None
            assert two_fours(piece.key) in text
    assert all(in_groups(digest) in text for digest in hashes)
    assert tip in text.replace(" ", "")
    for expected in (
        "tall round 500 mL",
        "Tarnquill Waters",
        "Ostrey Vale",
        "LEFT looking downstream",
        "1 Router Lane",
    ):
        assert expected in text


def test_equal_records_give_equal_bytes_and_no_event(workshop: Workshop, issued: KitAnswer) -> None:
    with workshop.database.read() as connection:
        before = ledger.tip(connection)
    assert kit_book(workshop, KIT.lower()) == kit_book(workshop, KIT)
    assert kit_book(workshop, KIT, paper="letter") != kit_book(workshop, KIT)
    with workshop.database.read() as connection:
        assert ledger.tip(connection) == before


def test_joint_revisions_and_withdrawals_are_told(workshop: Workshop, issued: KitAnswer) -> None:
    release(workshop, "SW2-U3", revision="A", joints_changed="SW2-U2", interfaces_changed="pocket", data=make_dxf())
    release(workshop, "SW2-U2", revision="A", data=make_dxf(width_mm=149.0))
    release(workshop, "SW2-U2", revision="B", joints_changed="SW2-U3", data=make_dxf(width_mm=148.0))
    text = text_of(kit_book(workshop, KIT))
    assert "Changes the joint to SW2-U2; pocket" in text
    assert "0 in -; 1 in A 0 in -, A; 1 in B revision -" in text
    assert "0 in -, A; 1 in B 0 in -; 1 in A revision -" in text
    withdraw_revision(workshop, file_of("SW2-U3"), "A", reason="cracks at the root")
    assert "cracks at the root" in text_of(kit_book(workshop, KIT))


def test_spent_numbers_stay_in_the_book(workshop: Workshop, issued: KitAnswer) -> None:
    request = CorrectionRequest.model_validate(
        {"reason": "cut up otherwise", "void": [{"number": NUMBER_U3, "replacements": []}]}
    )
    correct_kit(workshop, KIT, request)
    text = text_of(kit_book(workshop, KIT))
    assert f"{NUMBER_U3} " in text
    assert "cut up otherwise" in text
    assert f"Number, its check in the frame {NUMBER_U3.rpartition('-')[0]} " not in text
    assert NUMBER_U2 in text


def test_a_shared_segment_stands_in_the_books_of_both_kits(workshop: Workshop, issued: KitAnswer) -> None:
    container = {**manifest()["container"], "code": "A330", "name": "sport 330 mL", "nominal": 330}
    other = issue_small(
        workshop,
        container=container,
        segments={"SW2": [{"deck": "U", "ordinal": 3, "shares": NUMBER_U3}, segment("SW2-U4")]},
    )
    theirs = text_of(kit_book(workshop, other.number))
    assert NUMBER_U3 in theirs
    assert "of kit OSV4-FC1-A500" in theirs
    piece = next(one for one in show_kit(workshop, KIT).segments if one.number == NUMBER_U3).pieces[0]
    assert piece.key is not None
    assert two_fours(piece.key) in theirs
    assert "Serves too OSV4-FC1-A330" in text_of(kit_book(workshop, KIT))


def test_an_unknown_kit_and_another_paper_are_refused(workshop: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(KitUnknown):
        kit_book(workshop, "OSV4-FC1-C500")
    with pytest.raises(BadRequest):
        kit_book(workshop, KIT, paper="roll")  # type: ignore[arg-type]  # what a caller may send


def test_where_the_machine_stood_is_told(workshop: Workshop, issued: KitAnswer) -> None:
    move_machine(workshop, "OSV4-FC1", MoveRequest.model_validate({"line": "7", "since": "2024-04-02"}))
    rename_plant(workshop, "OSV", RenameRequest.model_validate({"name": "Ostrey Mill", "since": "2025-01-01"}))
    text = text_of(kit_book(workshop, KIT))
    assert "Line at birth line 4 Line now line 7" in text
    assert "the beginning 2024-04-02 machine on line 4, Ostrey Mill (OSV4)" in text
    assert "2024-04-02 now machine on line 7, Ostrey Mill (OSV7)" in text
    assert "the beginning 2025-01-01 plant OSV called Ostrey Vale" in text


def test_every_set_and_what_became_of_its_pieces_is_told(workshop: Workshop, issued: KitAnswer) -> None:
    release(workshop, "SW2-U3", revision="A", data=make_dxf(width_mm=149.5))
    made = make_set(workshop, KIT, SetRequest.model_validate({"revisions": {"SW2-U3": "A"}}))
    first = next(one for one in issued.segments if one.number == NUMBER_U3).pieces[0]
    assert first.key is not None
    text = text_of(kit_book(workshop, KIT))
    assert "set 1: revision -; set 2: revision A" in text
    for row in made.segments:
        for key in row.keys:
            assert two_fours(key) in text
    scrap_piece(workshop, first.key, ScrapRequest.model_validate({"kind": "broken", "note": "bent in a jam"}))
    assert "bent in a jam" in text_of(kit_book(workshop, KIT))


def test_a_retired_kit_says_so(workshop: Workshop, issued: KitAnswer) -> None:
    retire_kit(workshop, KIT, RetirementRequest(reason="line scrapped"))
    text = text_of(kit_book(workshop, KIT))
    assert "This kit is out of use since" in text
    assert "line scrapped" in text
