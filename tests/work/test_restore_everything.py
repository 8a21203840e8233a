"""A shop in which everything has happened, there and back; and tampered records, named at every door."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from schemas.requests import ReorderRequest
from service.errors import BadArchive, CutFileAltered, CutFileMissing, KitwrightError
from service.work.export import export_to_file
from service.work.packet import reorder_packet
from service.work.reorder import reorder
from service.work.restore import restore_archive
from service.work.verify_ledger import ledger_tip, verify_ledger
from service.work.workshop import Workshop
from tests.archives import MANIFEST, Members, members, remade
from tests.long_life import live_long
from tests.small_kit import NUMBER_U2, NUMBER_U3, file_of, make_dxf
from tests.small_shop import is_empty, rows

EVENTS = "tables/event.jsonl"
NewWorkshop = Callable[[str], Workshop]


def other_kind(workshop: Workshop) -> str:
    return "postgresql" if workshop.database.is_local else "sqlite"


def unguard(connection: Connection) -> None:
    """What somebody does first who means to change the ledger."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("ALTER TABLE event DISABLE TRIGGER USER"))
        return
    triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
    for (name,) in connection.execute(text(triggers)).all():
        connection.execute(text(f"DROP TRIGGER {name}"))


def test_a_shop_with_a_long_life_comes_back_whole_from_either_kind_to_the_other_and_home(
    workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path
) -> None:
    live_long(workshop)
    held = rows(workshop)
    assert [table for table, some in held.items() if not some] == [], "let it happen in tests/long_life.py"
    told = export_to_file(workshop, tmp_path / "0.zip")
    source, first = tmp_path / "0.zip", (tmp_path / "0.zip").read_bytes()
    kinds = [other_kind(workshop)]
    kinds.append("sqlite" if kinds[0] == "postgresql" else "postgresql")
    for turn, kind in enumerate(kinds, 1):
        there = new_workshop(kind)
        report = restore_archive(there, source, tips=[told.ledger.tip])
        assert (report.rows, report.cut_files) == (told.rows, told.cut_files)
        assert rows(there) == held
        source = tmp_path / f"{turn}.zip"
        export_to_file(there, source)
        assert source.read_bytes() == first
        assert verify_ledger(there, tips=[told.ledger.tip]).whole
        # The shop works on: the order that was open is packed, and a new one is decided alike.
        open_order = max(row_id for row_id in order_ids(there))
        assert reorder_packet(there, open_order)
        assert reorder(there, ReorderRequest(mark=NUMBER_U2, reason="worn")).outcome == "no_record"


def order_ids(workshop: Workshop) -> list[int]:
    with workshop.database.read() as connection:
        return [int(id_) for id_ in connection.scalars(text("SELECT id FROM reorder"))]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("UPDATE event SET actor = 'nobody' WHERE id = 3", "row 3 does not say what it said"),
        ("DELETE FROM event WHERE id = 5", "row 5 is missing"),
    ],
)
def test_a_tampered_event_is_named_by_verification_export_and_restore(
    workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path, change: str, said: str
) -> None:
    live_long(workshop)
    kept = ledger_tip(workshop).tip
    with workshop.database.write() as connection:
        unguard(connection)
        connection.execute(text(change))
    report = verify_ledger(workshop, tips=[kept])
    assert not report.whole
    assert any(said in fault.message for fault in report.faults)
    told = export_to_file(workshop, tmp_path / "shop.zip")
    assert any(said in fault for fault in told.ledger.faults)
    there = new_workshop(other_kind(workshop))
    restored = restore_archive(there, tmp_path / "shop.zip")
    assert any(said in fault for fault in restored.manifest.ledger.faults)
    assert not verify_ledger(there).whole


def test_rows_cut_off_at_the_end_are_named_by_whoever_kept_a_tip(
    workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path
) -> None:
    live_long(workshop)
    kept = ledger_tip(workshop).tip
    rows_then = int(kept.partition(":")[2])
    with workshop.database.write() as connection:
        unguard(connection)
        connection.execute(text("DELETE FROM event WHERE id > :last"), {"last": rows_then - 2})
    assert verify_ledger(workshop).whole
    (fault,) = verify_ledger(workshop, tips=[kept]).faults
    assert (fault.kind, fault.id, fault.last_id) == ("cut_off", rows_then - 1, rows_then)
    export_to_file(workshop, tmp_path / "shop.zip")
    there = new_workshop(other_kind(workshop))
    with pytest.raises(BadArchive, match="does not hold the tip"):
        restore_archive(there, tmp_path / "shop.zip", tips=[kept])
    assert is_empty(there)


@pytest.mark.parametrize(("data", "error"), [(None, CutFileMissing), (b"0\nEOF\n", CutFileAltered)])
def test_a_lost_or_tampered_cut_file_is_named_by_export_and_by_every_packet(
    workshop: Workshop, tmp_path: Path, data: bytes | None, error: type[KitwrightError]
) -> None:
    live_long(workshop)
    sha256 = hashlib.sha256(make_dxf(corner=(-150.3, -150.3))).hexdigest()
    path = tmp_path / "vault" / "sha256" / sha256[:2] / sha256[2:]
    path.unlink()
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(error) as caught:
        export_to_file(workshop, tmp_path / "shop.zip")
    assert caught.value.value == f"{file_of('SW2-U3')} revision -"
    assert not (tmp_path / "shop.zip").exists()
    key = next(
        str(row[0])
        for row in _ask(
            workshop,
            "SELECT piece.key FROM piece JOIN segment ON segment.id = piece.segment_id WHERE segment.number = :number"
            " AND piece.condition = 'fitted' AND piece.set_number = 1",
            number=NUMBER_U3,
        )
    )
    order = reorder(workshop, ReorderRequest(mark=key, reason="crushed", also="the first one got lost"))
    assert order.cut is not None
    assert order.cut.sha256 == sha256
    with pytest.raises(error):
        reorder_packet(workshop, order.id)


def _ask(workshop: Workshop, query: str, **values: object) -> list[tuple[object, ...]]:
    with workshop.database.read() as connection:
        return [tuple(row) for row in connection.execute(text(query), values)]


def test_whoever_tampers_with_an_archive_and_makes_its_hashes_fit_is_named_by_the_row(
    new_workshop: NewWorkshop, tmp_path: Path
) -> None:
    """The manifest is made anew; the chain of the ledger, and the tip kept elsewhere, are not his to make."""
    here = new_workshop("sqlite")
    live_long(here)
    told = export_to_file(here, tmp_path / "shop.zip")
    lines = members(tmp_path / "shop.zip")[EVENTS].splitlines(keepends=True)

    def tampered(parts: Members) -> None:
        row = json.loads(lines[6])
        row["actor"] = "nobody"
        spelt = json.dumps(row, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
        parts[EVENTS] = b"".join([*lines[:6], spelt, *lines[7:]])

    def cut_off(parts: Members) -> None:
        last = json.loads(lines[-3])
        parts[EVENTS] = b"".join(lines[:-2])
        manifest = json.loads(parts[MANIFEST])
        manifest["ledger"] |= {"rows": last["id"], "tip": f"{last['sha256']}:{last['id']}"}
        parts[MANIFEST] = json.dumps(manifest).encode()

    for name, change, tips in (("tampered", tampered, []), ("cut_off", cut_off, [told.ledger.tip])):
        there = new_workshop("sqlite")
        with pytest.raises(BadArchive) as caught:
            restore_archive(there, remade(tmp_path / "shop.zip", tmp_path / f"{name}.zip", change), tips=tips)
        assert ("row 7 " in str(caught.value)) == (name == "tampered"), str(caught.value)
        assert is_empty(there)
