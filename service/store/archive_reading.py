"""Reads an archive that anybody may have made: everything about it is checked before anything is taken from it.

Nothing is ever unpacked to a file, and no name in the archive becomes the name of one.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import IO, Self

from schemas.archive import ArchivedFile, ArchiveManifest, read_manifest
from service.errors import BadArchive
from service.store.archive_writing import MANIFEST, README

MOST_AT_ONCE_BYTES = 256 * 2**20
"""No manifest, row or cut file is longer; each of these is held in memory whole."""
_MOST_TIMES_PACKED = 200
_ALWAYS_ALLOWED_BYTES = 2**30

_BLOCK = 2**20
_TABLE = re.compile(r"tables/([a-z][a-z0-9_]{0,62})\.jsonl")
_CUT_FILE = re.compile(r"vault/sha256/([0-9a-f]{2})/([0-9a-f]{62})")
_ENCRYPTED = 0x1
_BROKEN = (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError)


def table_member(table: str) -> str:
    """Where the rows of a table stand in an archive."""
    return f"tables/{table}.jsonl"


def cut_file_member(sha256: str) -> str:
    """Where the bytes with a SHA-256 stand in an archive."""
    return f"vault/sha256/{sha256[:2]}/{sha256[2:]}"


class ArchiveReader:
    """An archive whose manifest is read and whose members are those that it names; a context manager.

    Raises:
        BadArchive: the file is no such archive, or a member is missing, extra, oversized or forbidden.
        ArchiveTooNew: its form is of a newer version.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            self._zip = zipfile.ZipFile(path)
        except _BROKEN as error:
            raise self._bad(f"it cannot be opened as a ZIP archive ({error})") from error
        try:
            members = self._members(path.stat().st_size)
            self.manifest = self._manifest(members)
            self._compare(members)
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    def verify(self) -> None:
        """Read every member once, in a stream, and compare it with its SHA-256.

        Raises:
            BadArchive: one has other bytes, or other than one line a row.
        """
        rows = {table_member(table.name): table.rows for table in self.manifest.tables}
        for name, expected in self.manifest.files.items():
            self._verify(name, expected, rows.get(name))

    def table_lines(self, table: str) -> Iterator[bytes]:
        """The rows of a table, one a line."""
        name = table_member(table)
        with self._opened(name) as member, io.BufferedReader(member, _BLOCK) as lines:  # type: ignore[type-var]  # a raw stream in all but its declared type
            yield from lines

    def cut_files(self) -> Iterator[str]:
        """The SHA-256 of every cut file in it."""
        for name in self.manifest.files:
            if found := _CUT_FILE.fullmatch(name):
                yield found[1] + found[2]

    def cut_file(self, sha256: str) -> bytes:
        """The bytes of a cut file.

        Raises:
            BadArchive: the archive has other bytes under this SHA-256.
        """
        name = cut_file_member(sha256)
        with self._opened(name) as member:
            data = member.read(MOST_AT_ONCE_BYTES + 1)
        if hashlib.sha256(data).hexdigest() != sha256:
            raise self._bad("the SHA-256 of this cut file is not the one in its name", name)
        return data

    def _members(self, archive_bytes: int) -> dict[str, zipfile.ZipInfo]:
        members: dict[str, zipfile.ZipInfo] = {}
        for info in self._zip.infolist():
            if info.filename in members:
                raise self._bad("a member of this name is in it twice", info.filename)
            if info.flag_bits & _ENCRYPTED or info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
                raise self._bad("this member is encrypted or packed in a way that no archive of ours is", info.filename)
            members[info.filename] = info
        packed = sum(info.compress_size for info in members.values())
        unpacked = sum(info.file_size for info in members.values())
        # Members that lie over each other, and rows that no shop has: keys alone cannot be packed as small as that.
        if packed > archive_bytes or unpacked > _ALWAYS_ALLOWED_BYTES + _MOST_TIMES_PACKED * archive_bytes:
            raise self._bad(f"it says that it unpacks to {unpacked:,} bytes out of {archive_bytes:,}")
        return members

    def _manifest(self, members: dict[str, zipfile.ZipInfo]) -> ArchiveManifest:
        if MANIFEST not in members:
            raise self._bad("this member is missing", MANIFEST)
        if members[MANIFEST].file_size > MOST_AT_ONCE_BYTES:
            raise self._bad("this member is longer than any manifest", MANIFEST)
        with self._opened(MANIFEST) as member:
            text = member.read()
        return read_manifest(text, place=MANIFEST)

    def _compare(self, members: dict[str, zipfile.ZipInfo]) -> None:
        expected = self.manifest.files
        tables = {table_member(table.name) for table in self.manifest.tables}
        named = {name for name in expected if _TABLE.fullmatch(name)}
        if len(tables) != len(self.manifest.tables) or tables != named:
            raise self._bad("the manifest names other tables than files of tables", MANIFEST)
        for name in expected:
            if name != README and name not in tables and not _CUT_FILE.fullmatch(name):
                raise self._bad("no archive of ours has a member of this name", name)
            if name not in members:
                raise self._bad("this member is missing", name)
        for name, info in members.items():
            if name == MANIFEST:
                continue
            if name not in expected:
                raise self._bad("the manifest does not know this member", name)
            if info.file_size != expected[name].bytes:
                raise self._bad(f"this member has {info.file_size:,} bytes, not {expected[name].bytes:,}", name)
            if info.file_size > MOST_AT_ONCE_BYTES and name not in tables:
                raise self._bad("this member is longer than any cut file", name)

    def _verify(self, name: str, expected: ArchivedFile, rows: int | None) -> None:
        digest, size, lines, unbroken = hashlib.sha256(), 0, 0, 0
        with self._opened(name) as member:
            while block := member.read(_BLOCK):
                digest.update(block)
                size += len(block)
                if rows is not None:
                    lines += block.count(b"\n")
                    end = block.rfind(b"\n")
                    unbroken = unbroken + len(block) if end < 0 else len(block) - end - 1
                    if unbroken > MOST_AT_ONCE_BYTES:
                        raise self._bad("a line of this member is longer than any row", name)
        if size != expected.bytes or digest.hexdigest() != expected.sha256:
            raise self._bad(f"its SHA-256 is {digest.hexdigest()} and not the one in the manifest", name)
        if rows is not None and (lines != rows or unbroken):
            raise self._bad(f"it has {lines:,} lines for {rows:,} rows", name)

    @contextmanager
    def _opened(self, name: str) -> Iterator[IO[bytes]]:
        try:
            with self._zip.open(name) as member:
                yield member
        except _BROKEN as error:
            raise self._bad(f"this member cannot be unpacked ({error})", name) from error

    def _bad(self, what: str, name: str | None = None) -> BadArchive:
        return BadArchive(
            what,
            field="archive",
            value=self._path.name if name is None else name,
            todo="Restore from another copy of the archive; nothing of this one was kept",
            place=name,
        )
