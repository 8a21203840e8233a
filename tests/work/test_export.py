"""Export: what is in an archive, that it is of one moment, and that what is lost is named."""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from service.errors import (
    BadRequest,
    CopyUnproven,
    CutFileAltered,
    CutFileMissing,
    KitwrightError,
    TargetUnavailable,
)
from service.store import migrations
from service.store.archive_writing import EARLIEST, ArchiveWriter
from service.work.export import export_to_file, export_to_stream
from service.work.restore import restore_archive
from service.work.verify_ledger import ledger_tip
from service.work.workshop import Workshop
from tests.archives import MANIFEST, members
from tests.small_kit import NUMBER_U3, file_of, issue_small, make_dxf, release_all
from tests.small_shop import rows

SEGMENTS = "tables/segment.jsonl"
NewWorkshop = Callable[[str], Workshop]


def test_the_archive_says_what_is_in_it(archive: Path) -> None:
    parts = members(archive)
    manifest = json.loads(parts[MANIFEST])
    assert next(iter(parts)) == "README.txt"
    assert list(parts)[-1] == MANIFEST
    assert set(manifest["files"]) == set(parts) - {MANIFEST}
    for name, expected in manifest["files"].items():
        assert (len(parts[name]), hashlib.sha256(parts[name]).hexdigest()) == (expected["bytes"], expected["sha256"])
        if name.startswith("vault/"):
            assert name.removeprefix("vault/sha256/").replace("/", "") == expected["sha256"]
    for table in manifest["tables"]:
        found = [json.loads(line) for line in parts[f"tables/{table['name']}.jsonl"].decode().split("\n")[:-1]]
        assert len(found) == table["rows"]
        assert all(list(row) == sorted(table["columns"]) for row in found)
        keys = [tuple(row[name] for name in table["primary_key"]) for row in found]
        assert keys == sorted(keys)
    last = json.loads(parts["tables/event.jsonl"].splitlines()[-1])
    assert manifest["ledger"] == {"rows": last["id"], "tip": f"{last['sha256']}:{last['id']}", "faults": []}
    assert manifest["schema_revision"] == migrations.head()
    with zipfile.ZipFile(archive) as opened:
        assert {info.date_time for info in opened.infolist()} == {EARLIEST}


def test_a_part_is_found_by_hand_as_the_readme_tells(archive: Path) -> None:
    parts = members(archive)

    def line(table: str, **wanted: object) -> dict[str, object]:
        found = [json.loads(line) for line in parts[f"tables/{table}.jsonl"].decode().split("\n")[:-1]]
        (one,) = [row for row in found if wanted.items() <= row.items()]
        return dict(one)

    about = parts["README.txt"].decode()
    segment = line("segment", number=NUMBER_U3)
    assert NUMBER_U3 in about
    piece = line("piece", segment_id=segment["id"], deviations=None)
    assert line("piece", key=piece["key"])["segment_id"] == segment["id"]
    revision = line("revision", id=piece["revision_id"])
    sha256 = str(revision["sha256"])
    assert revision["letter"] == "-"
    assert line("cut_file", id=revision["cut_file_id"])["name"] == file_of("SW2-U3")
    assert parts[f"vault/sha256/{sha256[:2]}/{sha256[2:]}"] == make_dxf(corner=(-150.3, -150.3))
    assert line("kit", id=segment["kit_id"])["number"] == "OSV4-FC1-A500"
    events = [json.loads(row) for row in parts["tables/event.jsonl"].decode().split("\n")[:-1]]
    previous = "0" * 64
    for event in events:
        said = {
            "actor": event["actor"],
            "after": event["after"],
            "at": event["at"],
            "before": event["before"],
            "id": event["id"],
            "previous": previous,
            "subject": event["subject"],
            "verb": event["verb"],
        }
        spelt = json.dumps(said, separators=(",", ":"), ensure_ascii=False).encode()
        assert hashlib.sha256(spelt).hexdigest() == event["sha256"]
        previous = event["sha256"]


class TestDamagedVault:
    """What the vault lost is named before anybody relies on the archive."""

    def damage(self, workshop: Workshop, tmp_path: Path, place: str, data: bytes | None) -> str:
        sha256 = hashlib.sha256(make_dxf(corner=(-150.3, -150.3))).hexdigest()
        path = tmp_path / "vault" / "sha256" / sha256[:2] / sha256[2:]
        path.unlink()
        if data is not None:
            path.write_bytes(data)
        return sha256

    @pytest.mark.parametrize(("data", "error"), [(None, CutFileMissing), (b"altered", CutFileAltered)])
    def test_it_is_named_and_there_is_no_archive(
        self, stocked: Workshop, tmp_path: Path, data: bytes | None, error: type[KitwrightError]
    ) -> None:
        sha256 = self.damage(stocked, tmp_path, "SW2-U3", data)
        target = tmp_path / "shop.zip"
        for export in (lambda: export_to_file(stocked, target), lambda: export_to_stream(stocked)):
            with pytest.raises(error) as caught:
                export()
            assert caught.value.value == f"{file_of('SW2-U3')} revision -"
            assert caught.value.place == f"SHA-256 {sha256}"
        assert [path.name for path in tmp_path.iterdir() if path.name.endswith(".zip")] == []

    def test_every_lost_file_is_named(self, stocked: Workshop, tmp_path: Path) -> None:
        for path in [path for path in (tmp_path / "vault" / "sha256").rglob("*") if path.is_file()]:
            path.unlink()
        with pytest.raises(CutFileMissing) as caught:
            export_to_file(stocked, tmp_path / "shop.zip")
        places = ("SW2-U1", "SW2-U2", "SW2-U3", "SW2-U4", "OR1-L1", "BP1-X1")
        assert sum(file_of(place) in str(caught.value) for place in places) == 5
        assert "and 1 more" in str(caught.value)

    def test_a_shop_that_lost_a_file_for_good_still_gets_its_archive(
        self, stocked: Workshop, tmp_path: Path, new_workshop: NewWorkshop
    ) -> None:
        issue_small(stocked)
        sha256 = self.damage(stocked, tmp_path, "SW2-U3", b"altered")
        told = export_to_file(stocked, tmp_path / "shop.zip", leave_out_damaged=True)
        (lost,) = told.left_out
        assert (lost.cut_file, lost.revision, lost.sha256, lost.reason) == (file_of("SW2-U3"), "-", sha256, "altered")
        there = new_workshop("postgresql" if stocked.database.is_local else "sqlite")
        assert restore_archive(there, tmp_path / "shop.zip").manifest.left_out == [lost]
        with pytest.raises(CutFileMissing):
            there.vault.get(sha256)
        export_to_file(there, tmp_path / "again.zip", leave_out_damaged=True)
        assert json.loads(members(tmp_path / "again.zip")[MANIFEST])["left_out"][0]["reason"] == "missing"


def test_an_export_sees_one_moment_while_kits_are_issued(stocked: Workshop, tmp_path: Path) -> None:
    class WritesBetween(ArchiveWriter):
        """Somebody issues a kit as soon as the first table is written."""

        def add(self, name: str, blocks: Iterator[bytes]) -> None:  # type: ignore[override]  # the test's own blocks
            super().add(name, blocks)
            if name == "tables/customer.jsonl":
                issue_small(stocked)

    before = ledger_tip(stocked)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("service.work.export.ArchiveWriter", WritesBetween)
        told = export_to_file(stocked, tmp_path / "shop.zip")
    parts = members(tmp_path / "shop.zip")
    assert (parts[SEGMENTS], parts["tables/kit.jsonl"], told.ledger.tip) == (b"", b"", before.tip)
    assert rows(stocked)["kit"]


def test_nothing_is_written_over(workshop: Workshop, tmp_path: Path) -> None:
    target = tmp_path / "shop.zip"
    target.write_bytes(b"the last good one")
    with pytest.raises(BadRequest, match="there already"):
        export_to_file(workshop, target)
    assert target.read_bytes() == b"the last good one"
    with pytest.raises(TargetUnavailable):
        export_to_file(workshop, tmp_path / "no such folder" / "shop.zip")


def test_a_spoilt_record_is_named_at_export(new_workshop: NewWorkshop, tmp_path: Path) -> None:
    there = new_workshop("sqlite")
    release_all(there)
    issue_small(there)
    with there.database.write() as connection:
        connection.execute(text("UPDATE segment SET mass_kg = 9e999 WHERE id = 1"))
    with pytest.raises(CopyUnproven) as caught:
        export_to_file(there, tmp_path / "shop.zip")
    assert (caught.value.field, caught.value.value) == ("table", "segment")
    assert list(tmp_path.glob("*.zip")) == []


def test_a_stream_is_the_same_archive(stocked: Workshop, tmp_path: Path) -> None:
    export_to_file(stocked, tmp_path / "shop.zip")
    with export_to_stream(stocked) as stream:
        assert stream.read() == (tmp_path / "shop.zip").read_bytes()
