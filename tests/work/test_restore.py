"""Restore: everything comes back, byte for byte and on either database, or nothing does."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from alembic.migration import MigrationContext

from schemas.answers import KitAnswer
from schemas.requests import ReorderRequest, ShopRequest
from service.errors import (
    ArchiveTooNew,
    BadArchive,
    BadRequest,
    CopyUnproven,
    CutFileAltered,
    DatabaseNotEmpty,
    KitwrightError,
)
from service.store import dump, migrations
from service.store.archive_reading import ArchiveReader
from service.store.events import record
from service.work.export import export_to_file
from service.work.packet import reorder_packet
from service.work.read import read_mark
from service.work.reorder import reorder
from service.work.restore import restore_archive
from service.work.shop_facts import set_shop_facts
from service.work.show_kit import show_kit
from service.work.verify_ledger import ledger_tip, verify_ledger
from service.work.workshop import Workshop
from tests.archives import MANIFEST, Members, changed, cut_file_in, cut_file_name, manifest_with, remade
from tests.factories import NOW
from tests.small_kit import NUMBER_U3, issue_small, make_dxf, release_all
from tests.small_shop import is_empty, live, rows

SEGMENTS = "tables/segment.jsonl"
NewWorkshop = Callable[[str], Workshop]


def test_there_and_back_on_both_kinds_is_byte_identical(
    workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path
) -> None:
    kit = live(workshop)
    first = tmp_path / "first.zip"
    told = export_to_file(workshop, first)
    other_kind = "postgresql" if workshop.database.is_local else "sqlite"
    source = first
    for kind in (other_kind, "sqlite" if other_kind == "postgresql" else "postgresql"):
        there = new_workshop(kind)
        report = restore_archive(there, source, tips=[told.ledger.tip])
        assert rows(there) == rows(workshop)
        assert (report.rows, report.cut_files) == (told.rows, told.cut_files)
        source = tmp_path / f"{kind}.zip"
        export_to_file(there, source)
        assert source.read_bytes() == first.read_bytes()
        # Not only rows: the shop works on.
        assert show_kit(there, "OSV4-FC1-A500").segments[2].number == NUMBER_U3
        assert read_mark(there, NUMBER_U3).outcome == "exact"
        assert read_mark(there, kit.segments[2].pieces[0].key or "").number == NUMBER_U3
        assert there.vault.get(hashlib.sha256(make_dxf(corner=(-150.3, -150.3))).hexdigest())
        order = reorder(there, ReorderRequest.model_validate({"mark": NUMBER_U3, "reason": "crushed again"}))
        assert reorder_packet(there, order.id)
        assert verify_ledger(there, tips=[told.ledger.tip]).whole


def test_an_empty_shop_is_an_archive_too(workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path) -> None:
    export_to_file(workshop, tmp_path / "empty.zip")
    there = new_workshop("sqlite")
    assert restore_archive(there, tmp_path / "empty.zip").rows == 0
    export_to_file(there, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "empty.zip").read_bytes()
    assert issue_after(there).status == "issued"


def issue_after(workshop: Workshop) -> KitAnswer:
    release_all(workshop)
    return issue_small(workshop)


def drop(name: str) -> Callable[[Members], object]:
    return lambda parts: parts.pop(name)


def swap(name: str, old: bytes, new: bytes) -> Callable[[Members], object]:
    def change(parts: Members) -> None:
        assert old in parts[name]
        parts[name] = parts[name].replace(old, new, 1)

    return change


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (swap(SEGMENTS, b"UHMW-PE", b"UHMW-PX"), SEGMENTS),
        (swap("tables/event.jsonl", b"issue", b"isSue"), "tables/event.jsonl"),
        (swap("README.txt", b"caution".upper(), b"Caution"), "README.txt"),
        (lambda parts: parts.update({cut_file_in(parts): bytes(len(parts[cut_file_in(parts)]))}), "vault/"),
        (swap(SEGMENTS, b"UHMW-PE", b"PE"), SEGMENTS),
        (drop(SEGMENTS), SEGMENTS),
        (drop("README.txt"), "README.txt"),
        (drop(MANIFEST), MANIFEST),
        (lambda parts: parts.pop(cut_file_in(parts)), "vault/"),
        (lambda parts: parts.update({"tables/more.jsonl": b"{}\n"}), "tables/more.jsonl"),
        (lambda parts: parts.update({"../../etc/cron.d/kitwright": b"x"}), "../../etc/cron.d/kitwright"),
        (lambda parts: parts.update({"/etc/passwd": b"x"}), "/etc/passwd"),
        (lambda parts: parts.update({"vault/": b""}), "vault/"),
        (swap(MANIFEST, b'"name": "segment",\n   "rows": ', b'"name": "segment",\n   "rows": 1'), SEGMENTS),
        (swap(MANIFEST, b'"format": "kitwright-archive"', b'"format": "other"'), MANIFEST),
        (swap(MANIFEST, b"{", b"["), MANIFEST),
        (lambda parts: parts.update({MANIFEST: b""}), MANIFEST),
        (lambda parts: parts.update({MANIFEST: b"\xff\xfe"}), MANIFEST),
    ],
)
def test_a_changed_missing_or_extra_member_is_named(
    new_workshop: NewWorkshop, archive: Path, tmp_path: Path, change: Callable[[Members], object], place: str
) -> None:
    there = new_workshop("sqlite")
    with pytest.raises(BadArchive) as caught:
        restore_archive(there, changed(archive, tmp_path / "bad.zip", change))
    assert (caught.value.place or "").startswith(place)
    assert is_empty(there)
    assert not any(path.is_file() for path in (tmp_path / "workshop-0" / "vault").rglob("*"))


def swap_rows(parts: Members) -> None:
    lines = parts[SEGMENTS].splitlines(keepends=True)
    parts[SEGMENTS] = b"".join([lines[1], lines[0], *lines[2:]])


def without_line(at: int) -> Callable[[Members], object]:
    def change(parts: Members) -> None:
        lines = parts["tables/event.jsonl"].splitlines(keepends=True)
        del lines[at]
        parts["tables/event.jsonl"] = b"".join(lines)

    return change


def other_bytes(parts: Members) -> None:
    parts[cut_file_in(parts)] = b"0\nEOF\n"


def beyond_the_vault(parts: Members) -> None:
    parts["vault/sha256/../../outside"] = b"x"


@pytest.mark.parametrize(
    ("change", "error"),
    [
        # Whoever makes the hashes fit is stopped by what the rows have to be.
        (swap(SEGMENTS, b'"kit_id":1', b'"kit_id":9'), BadArchive),
        (swap(SEGMENTS, b'"quantity":1', b'"quantity":0'), BadArchive),
        (swap(SEGMENTS, b'"quantity":1', b'"quantity":"1"'), BadArchive),
        (swap(SEGMENTS, b'"quantity":1,', b""), BadArchive),
        (swap(SEGMENTS, b'"quantity":1', b'"quantity": 1'), CopyUnproven),
        (swap(SEGMENTS, b'"thickness_mm":25.0', b'"thickness_mm":25.00'), CopyUnproven),
        (swap_rows, CopyUnproven),
        (swap("tables/event.jsonl", b'"actor":"service"', b'"actor":"nobody"'), BadArchive),
        (without_line(-1), BadArchive),
        (without_line(0), BadArchive),
        (without_line(3), BadArchive),
        (other_bytes, BadArchive),
        (lambda parts: parts.pop(cut_file_in(parts)), BadArchive),
        (lambda parts: parts.update({cut_file_name(b"x"): b"x"}), BadArchive),
        (beyond_the_vault, BadArchive),
        (lambda parts: parts.update({SEGMENTS: parts[SEGMENTS].rstrip(b"\n")}), BadArchive),
    ],
)
def test_a_forged_archive_is_refused_and_nothing_of_it_kept(
    workshop: Workshop,
    archive: Path,
    tmp_path: Path,
    change: Callable[[Members], object],
    error: type[KitwrightError],
) -> None:
    with pytest.raises(error):
        restore_archive(workshop, remade(archive, tmp_path / "forged.zip", change))
    assert is_empty(workshop)
    assert workshop.database.ready()
    restore_archive(workshop, archive)


def test_a_tip_from_elsewhere_unmasks_a_ledger_that_was_cut(
    workshop: Workshop, new_workshop: NewWorkshop, tmp_path: Path
) -> None:
    live(workshop)
    export_to_file(workshop, tmp_path / "before.zip")
    with workshop.database.write() as connection:
        record(connection, at=NOW, actor="desk", verb="scrap", subject=NUMBER_U3)
    written_down = ledger_tip(workshop).tip
    there = new_workshop("sqlite")
    with pytest.raises(BadArchive, match="does not hold the tip"):
        restore_archive(there, tmp_path / "before.zip", tips=[written_down])
    assert is_empty(there)
    with pytest.raises(BadRequest):
        restore_archive(there, tmp_path / "before.zip", tips=["nonsense"])
    restore_archive(there, tmp_path / "before.zip")


def test_records_are_never_restored_over(workshop: Workshop, archive: Path) -> None:
    set_shop_facts(workshop, ShopRequest(name="Demonstration shop", address="", telephone=""))
    before = rows(workshop)
    with pytest.raises(DatabaseNotEmpty) as caught:
        restore_archive(workshop, archive)
    assert caught.value.field == "KITWRIGHT_DATABASE_URL"
    assert rows(workshop) == before


def test_a_second_restore_finds_the_database_full(workshop: Workshop, archive: Path) -> None:
    restore_archive(workshop, archive)
    with pytest.raises(DatabaseNotEmpty):
        restore_archive(workshop, archive)


def test_a_vault_with_other_bytes_under_a_name_is_not_trusted(
    new_workshop: NewWorkshop, archive: Path, tmp_path: Path
) -> None:
    there = new_workshop("sqlite")
    with ArchiveReader(archive) as reader:
        sha256 = next(reader.cut_files())
    path = tmp_path / "workshop-0" / "vault" / "sha256" / sha256[:2] / sha256[2:]
    path.parent.mkdir(parents=True)
    path.write_bytes(b"other bytes")
    with pytest.raises(CutFileAltered):
        restore_archive(there, archive)
    assert is_empty(there)


def test_a_newer_archive_is_refused_by_name(new_workshop: NewWorkshop, archive: Path, tmp_path: Path) -> None:
    there = new_workshop("sqlite")
    for name, changes in (
        ("tables", {"schema_revision": "9999", "product_version": "7.0.0"}),
        ("form", {"format_version": 2, "something": "new"}),
    ):
        newer = changed(archive, tmp_path / f"{name}.zip", lambda parts, more=changes: manifest_with(parts, **more))  # type: ignore[misc]  # bound to this turn's changes
        with pytest.raises(ArchiveTooNew):
            restore_archive(there, newer)
    assert is_empty(there)


def test_an_older_archive_is_restored_as_it_was_and_then_brought_up_to_date(
    workshop: Workshop, tmp_path: Path, archive: Path
) -> None:
    """What 0003 did not know of is taken out of a new archive: this is what a program of that time would have made."""
    with workshop.database.write() as connection:
        migrations.downgrade(connection, "0003")
        known = {shape.name: shape for shape in dump.shapes(connection)}
        migrations.upgrade(connection)

    def as_of_then(parts: Members) -> None:
        manifest = json.loads(parts[MANIFEST])
        tables = [table for table in manifest["tables"] if table["name"] in known]
        for name in {table["name"] for table in manifest["tables"]} - known.keys():
            del parts[f"tables/{name}.jsonl"]
        for table in tables:
            columns = known[table["name"]].columns
            assert set(columns) <= set(table["columns"])
            table["columns"] = dict(columns)
            member = f"tables/{table['name']}.jsonl"
            found = [json.loads(line) for line in parts[member].decode().split("\n")[:-1]]
            kept = [{name: row[name] for name in columns} for row in found]
            parts[member] = b"".join(
                json.dumps(row, ensure_ascii=False, separators=(",", ":")).encode() + b"\n" for row in kept
            )
        manifest_with(parts, tables=tables, schema_revision="0003")

    older = remade(archive, tmp_path / "older.zip", as_of_then)
    restore_archive(workshop, older)
    assert workshop.database.ready()
    with workshop.database.read() as connection:
        assert MigrationContext.configure(connection).get_current_revision() == migrations.head()
    assert verify_ledger(workshop).whole
    assert read_mark(workshop, NUMBER_U3).outcome == "exact"


def test_an_archive_whose_tables_are_not_those_of_its_version_is_refused(
    new_workshop: NewWorkshop, archive: Path, tmp_path: Path
) -> None:
    def without_a_column(parts: Members) -> None:
        tables = json.loads(parts[MANIFEST])["tables"]
        del next(table for table in tables if table["name"] == "segment")["columns"]["hand"]
        manifest_with(parts, tables=tables)

    there = new_workshop("sqlite")
    with pytest.raises(BadArchive) as caught:
        restore_archive(there, changed(archive, tmp_path / "bad.zip", without_a_column))
    assert (caught.value.field, caught.value.value) == ("table", "segment")
    assert is_empty(there)
