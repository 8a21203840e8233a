"""The paper book alone: with nothing but its text a part is found, and what is cut is what the service would cut."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text as sql

from schemas.requests import ReorderRequest
from service.numbering.number import Number
from service.store import codes
from service.work.book import kit_book
from service.work.export import export_to_file
from service.work.read import read_mark
from service.work.reorder import reorder
from service.work.restore import restore_archive
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests import demo_data
from tests.long_life import GUEST, KIT, OLD, TWIN, live_long
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, file_of
from tests.work.book_reading import BookReader, Cut

DEMO_KITS = ("OSV4-FC1-A500", "OSV4-FC1-A330", "OSV2-FL1-C500", "MRG1-LB1-A12")
IN_A_PROCESS = """
import hashlib, sys
from service.store.database import Database
from service.store.vault import Vault
from service.work.book import kit_book
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop

workshop = Workshop(
    database=Database(sys.argv[1]), vault=Vault(sys.argv[2]), templates={}, rendering=RenderRoom(0),
    public_url="http://127.0.0.1:8000",
)
for kit in sys.argv[3:]:
    print(hashlib.sha256(kit_book(workshop, kit)).hexdigest())
"""
OUTCOMES = {
    "exact": "as built",
    "exact_with_deviations": "as built",
    "current_fits": "newest that fits",
    "current_needs_neighbours": "newest with neighbours",
    "no_record": "no record",
}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The demonstration shop."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    demo_data.fill(folder)
    workshop = demo_data.open_workshop(folder)
    with closing(workshop.database), closing(workshop.exact):
        yield workshop


def ordered(workshop: Workshop, mark: str, *, newest: bool) -> Cut:
    """What the service cuts."""
    answer = reorder(
        workshop,
        ReorderRequest.model_validate(
            {
                "mark": mark,
                "reason": "crushed",
                "prefer": "newest" if newest else "as_built",
                "also": "asked twice",
                # The book knows what was declared, and lays no outlines over each other.
                "decide": "declared",
                "decide_reason": "as the book has it",
            }
        ),
    )
    if answer.cut is None:
        return Cut("no record", {}, None)
    return Cut(
        OUTCOMES[answer.outcome],
        {answer.number: answer.cut.revision, **{one.number: one.revision for one in answer.also_cut}},
        answer.cut.sha256,
    )


def test_half_a_number_leads_to_the_bytes_that_are_cut(demo: Workshop) -> None:
    """A broken star wheel quarter: its number is half gone; no server, only the text of the book."""
    book = BookReader(kit_book(demo, "OSV4-FC1-A500"))
    assert book.pages_that_do_not_prove_themselves() == []
    (card,) = book.find("SW2-U3")
    assert card.number == NUMBER_U3
    assert {one.number for one in book.find("SW2-U")} == {NUMBER_U3, NUMBER_U4, NUMBER_U2, "OSV4-FC1-A500-SW2-U1-48"}
    exact, newest = book.cut(card), book.cut(card, newest=True)
    assert exact == Cut("as built", {NUMBER_U3: "A"}, card.hashes["A"])
    assert newest == Cut("newest with neighbours", {NUMBER_U3: "B", NUMBER_U4: "B"}, card.hashes["B"])
    for cut in (exact, newest):
        assert hashlib.sha256(demo.vault.get(cut.sha256 or "")).hexdigest() == cut.sha256


@pytest.mark.parametrize("kit", DEMO_KITS)
def test_every_segment_of_a_demonstration_kit_is_found_and_cut_as_the_service_does(demo: Workshop, kit: str) -> None:
    book = BookReader(kit_book(demo, kit))
    with demo.database.read() as connection:
        tables = codes.code_tables(connection)
        rows = connection.execute(
            sql(
                "SELECT segment.number, segment.key, cut_file.name FROM segment JOIN cut_file"
                " ON cut_file.id = segment.cut_file_id JOIN kit ON kit.id = segment.kit_id WHERE kit.number = :kit"
            ),
            {"kit": kit},
        ).all()
    assert {row[0] for row in rows} <= book.cards.keys()
    for number, key, cut_file in rows:
        card = book.cards[number]
        assert (card.key.replace("-", ""), card.cut_file) == (key, cut_file)
        assert str(Number.parse(card.number, tables)) == number
        assert book.find(key) == [card]
        for newest in (False, True):
            assert book.cut(card, newest=newest) == ordered(demo, number, newest=newest), number


def test_each_key_in_the_index_leads_to_the_page_of_its_segment(demo: Workshop) -> None:
    book = BookReader(kit_book(demo, "OSV4-FC1-A500", paper="letter"))
    keys = {card.key for card in book.cards.values()}
    keys |= {piece[0] for card in book.cards.values() for piece in card.pieces if "-" in piece[0]}
    assert keys == book.index.keys()
    assert len(keys) > 100
    for key, (number, page) in book.index.items():
        assert book.cards[number].page == page
        assert read_mark(demo, key).number == number


def test_a_kit_with_a_long_life_is_cut_from_its_book_piece_by_piece(workshop: Workshop) -> None:
    """Two sets of different build, rework, withdrawn revisions, a shared part: each piece as the service decides."""
    live_long(workshop)
    seen = set()
    for kit in (KIT, TWIN):
        book = BookReader(kit_book(workshop, kit))
        assert book.pages_that_do_not_prove_themselves() == []
        for card in book.cards.values():
            for key, _, _, condition, remarks in card.pieces:
                if condition != "fitted" or "-" not in key:
                    continue
                for newest in (False, True):
                    cut = ordered(workshop, key, newest=newest)
                    assert book.cut(card, key=key, newest=newest) == cut, (card.number, key, newest)
                    seen.add(cut.outcome)
                if key in {piece[0] for piece in book.cards[card.number].pieces} and "reworked" in remarks:
                    seen.add("reworked")
    assert seen >= {"as built", "newest with neighbours", "reworked"}
    withdraw_revision(workshop, file_of("SW2-U3"), "-", reason="cracks at the root")
    book = BookReader(kit_book(workshop, KIT))
    card = book.cards[NUMBER_U3]
    key = next(piece[0] for piece in card.pieces if piece[1] == 1 and piece[3] == "fitted")
    assert book.cut(card, key=key) == ordered(workshop, key, newest=False)
    assert book.cut(card, key=key).letters == {NUMBER_U3: "B", NUMBER_U4: "A"}


def test_a_spent_number_is_in_the_book_with_the_keys_of_its_pieces(workshop: Workshop) -> None:
    live_long(workshop)
    book = BookReader(kit_book(workshop, GUEST))
    (spent,) = [row for row in book.index.values() if row[0] not in book.cards][:1]
    keys = [key for key, row in book.index.items() if row[0] == spent[0]]
    assert len(keys) == 2
    for key in keys:
        assert key in book.pages[spent[1] - 1]
    assert "cut up otherwise" in book.pages[spent[1] - 1]


def test_an_older_mark_leads_to_the_page_of_its_segment(workshop: Workshop) -> None:
    live_long(workshop)
    book = BookReader(kit_book(workshop, KIT))
    pages = {mark: (number, book.cards[number].page) for mark, number in (("III", NUMBER_U3), ("IV", NUMBER_U2))}
    (index,) = [page for page in book.pages if "Older mark" in page]
    lines = " ".join(index.split())
    for mark, (number, page) in pages.items():
        assert re.search(rf"STERN 2 / {mark} segment {number} [^A-Z]* {page} ", lines), lines
    assert "WRONG" in lines
    assert "is the one next to it" in lines
    for mark in ("PO 4711-3", "old Betty", "the tall one", "hall 2", "the mill"):
        assert mark in lines
    assert "Older mark" not in "".join(BookReader(kit_book(workshop, OLD)).pages) or "hall 2" in lines


def test_equal_records_give_equal_bytes_on_either_database_and_in_every_process(
    workshop: Workshop, new_workshop: Callable[[str], Workshop], tmp_path: Path
) -> None:
    live_long(workshop)
    here = {kit: hashlib.sha256(kit_book(workshop, kit)).hexdigest() for kit in (KIT, GUEST, TWIN, OLD)}
    export_to_file(workshop, tmp_path / "shop.zip")
    there = new_workshop("postgresql" if workshop.database.is_local else "sqlite")
    restore_archive(there, tmp_path / "shop.zip")
    assert {kit: hashlib.sha256(kit_book(there, kit)).hexdigest() for kit in here} == here
    url = workshop.database.url.render_as_string(hide_password=False)
    for seed in ("1", "2"):
        told = subprocess.run(
            [sys.executable, "-c", IN_A_PROCESS, url, str(tmp_path / "vault"), *here],
            capture_output=True,
            text=True,
            check=True,
            cwd=Path(__file__).parents[2],
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert told.stdout.split() == list(here.values())
