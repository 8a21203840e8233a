"""Archives that are meant to fill the memory or the disk, are damaged, or are none."""

from __future__ import annotations

import json
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from service.errors import (
    BadArchive,
)
from service.store import archive_reading
from service.store.archive_reading import ArchiveReader
from service.work.restore import RestoreReport, restore_archive
from service.work.workshop import Workshop
from tests.archives import MANIFEST, Members, changed, cut_file_in, manifest_with, members, pack, remade

SEGMENTS = "tables/segment.jsonl"
NewWorkshop = Callable[[str], Workshop]


def said_to_unpack_to(source: Path, target: Path, name: str, size: int) -> Path:
    """An archive whose directory says another length of a member (APPNOTE 4.3.12: at byte 24 of its entry)."""
    data = bytearray(source.read_bytes())
    entry = data.rindex(name.encode()) - 46
    assert data[entry : entry + 4] == b"PK\x01\x02"
    struct.pack_into("<L", data, entry + 24, size)
    target.write_bytes(data)
    return target


class TestHostile:
    """Archives that are meant to fill the memory or the disk, or are none."""

    @pytest.mark.parametrize("data", [b"", b"PK", b"no archive", bytes(1000), b"PK\x05\x06" + bytes(18)])
    def test_no_archive(self, tmp_path: Path, data: bytes) -> None:
        path = tmp_path / "bad.zip"
        path.write_bytes(data)
        with pytest.raises(BadArchive):
            ArchiveReader(path)

    def test_cut_off_anywhere(self, archive: Path, tmp_path: Path) -> None:
        data, path = archive.read_bytes(), tmp_path / "bad.zip"
        for length in range(0, len(data), max(1, len(data) // 40)):
            path.write_bytes(data[:length])
            with pytest.raises(BadArchive):
                ArchiveReader(path)

    def test_one_byte_changed_anywhere_is_refused_or_without_effect(self, archive: Path, tmp_path: Path) -> None:
        data, path, whole = archive.read_bytes(), tmp_path / "bad.zip", members(archive)
        refused = 0
        for at in range(7, len(data), max(1, len(data) // 150)):
            path.write_bytes(data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :])
            try:
                with ArchiveReader(path) as reader:
                    reader.verify()
                    assert reader.manifest.model_dump() == json.loads(whole[MANIFEST])
            except BadArchive:
                refused += 1
        assert refused > 100

    def test_a_member_that_unpacks_to_far_more(self, archive: Path, tmp_path: Path) -> None:
        path = said_to_unpack_to(archive, tmp_path / "bomb.zip", SEGMENTS, 4_000_000_000)
        with pytest.raises(BadArchive, match="unpacks to"):
            ArchiveReader(path)

    def test_a_manifest_longer_than_any(self, archive: Path, tmp_path: Path) -> None:
        path = said_to_unpack_to(archive, tmp_path / "bomb.zip", MANIFEST, 300_000_000)
        with pytest.raises(BadArchive, match="longer than any manifest"):
            ArchiveReader(path)

    def test_a_cut_file_longer_than_any(self, archive: Path, tmp_path: Path) -> None:
        name = cut_file_in(members(archive))

        def also_in_the_manifest(parts: Members) -> None:
            files = json.loads(parts[MANIFEST])["files"]
            manifest_with(parts, files={**files, name: {**files[name], "bytes": 300_000_000}})

        agreed = changed(archive, tmp_path / "agreed.zip", also_in_the_manifest)
        path = said_to_unpack_to(agreed, tmp_path / "bomb.zip", name, 300_000_000)
        with pytest.raises(BadArchive, match="longer than any cut file"):
            ArchiveReader(path)

    def test_a_row_longer_than_any(self, archive: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(archive_reading, "MOST_AT_ONCE_BYTES", 3_000_000)
        path = remade(archive, tmp_path / "bomb.zip", lambda parts: parts.update({SEGMENTS: b"x" * 6_000_000 + b"\n"}))
        with ArchiveReader(path) as reader, pytest.raises(BadArchive, match="longer than any row"):
            reader.verify()

    def test_members_that_lie_over_each_other(self, archive: Path, tmp_path: Path) -> None:
        """Many names for the same packed bytes, each unpacked anew (D. Fifield, A better zip bomb, WOOT 2019)."""
        data = archive.read_bytes()
        with zipfile.ZipFile(archive) as opened:
            entries = opened.infolist()
            start = opened.start_dir
        one = next(info for info in entries if info.filename == SEGMENTS)
        central = b"".join(
            struct.pack(
                "<4s4B4HL2L5H2L",
                b"PK\x01\x02", 20, 3, 20, 0, 0, 8, 0, 33, one.CRC, one.compress_size, one.file_size,
                len(name), 0, 0, 0, 0, 0, one.header_offset,
            )
            + name
            for name in (f"tables/t{at}.jsonl".encode() for at in range(20_000))
        )  # fmt: skip
        end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 20_000, 20_000, len(central), start, 0)
        path = tmp_path / "bomb.zip"
        path.write_bytes(data[:start] + central + end)
        with pytest.raises(BadArchive):
            ArchiveReader(path)

    def test_a_member_twice(self, archive: Path, tmp_path: Path) -> None:
        path = tmp_path / "bad.zip"
        path.write_bytes(archive.read_bytes())
        with pytest.warns(UserWarning, match="Duplicate"), zipfile.ZipFile(path, "a") as opened:
            opened.writestr("README.txt", members(archive)["README.txt"])
        with pytest.raises(BadArchive, match="twice"):
            ArchiveReader(path)

    def test_another_way_of_packing(self, archive: Path, tmp_path: Path) -> None:
        path = tmp_path / "bad.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_BZIP2) as opened:
            for name, data in members(archive).items():
                opened.writestr(name, data)
        with pytest.raises(BadArchive, match="packed in a way"):
            ArchiveReader(path)

    def test_a_plain_copy_by_another_program_is_taken(
        self, archive: Path, tmp_path: Path, new_workshop: NewWorkshop
    ) -> None:
        """Unpacked and packed again by hand: times and order do not matter, what is in it does."""
        parts = dict(sorted(members(archive).items(), reverse=True))
        report: RestoreReport = restore_archive(new_workshop("sqlite"), pack(tmp_path / "again.zip", parts))
        assert report.rows > 50
