"""Writes an archive of open formats: equal contents give equal bytes.

The manifest comes last, because it holds the hashes of all that stand before it.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterable
from types import TracebackType
from typing import IO, Self

from schemas.archive import ArchivedFile, ArchiveManifest

MANIFEST = "MANIFEST.json"
README = "README.txt"
EARLIEST = (1980, 1, 1, 0, 0, 0)
"""The time that every member bears; the first that the form can hold."""

ABOUT = """\
ABOUT THIS ARCHIVE

It holds all records of a shop that makes change parts for packaging machines: the numbers on the parts, their keys,
the cut files they were made from, and what happened to them. Nothing but a ZIP reader and a text editor is needed.

MANIFEST.json   what is here: the tables with their columns and how many rows each has, and for every file its length
                in bytes and its SHA-256. "ledger" names the last row of the ledger; "left_out" names released cut
                files that were lost or damaged already when this archive was made.
tables/         one file a table. Each line is one row, a JSON object with the column names as names. UTF-8 text.
                Kinds of columns (see the manifest): integer; number (a double, written so that it reads back exactly);
                text; boolean; bytes (written in base64). null means: nothing is known or there is nothing to say.
vault/sha256/   the released cut files, byte for byte, as DXF drawings, and the photographs of damage reports (JPEG or
                PNG). The name of a file is its SHA-256: two digits for the folder, the other 62 for the file.

HOW TO FIND A PART

1. Read the number on the part, for example OSV4-FC1-A500-SW2-U3-42, or its key of eight letters and digits.
2. Find the line with that "number" or "key" in tables/segment.jsonl. A key of a single piece stands in
   tables/piece.jsonl; its "segment_id" is the "id" of the line in tables/segment.jsonl.
3. "revision_id" of the piece says what this piece was cut from; "revision_id" of the segment what the kit was issued
   with. Find that "id" in tables/revision.jsonl: "letter" is the revision, "sha256" the name of the drawing in vault/,
   and "cut_file_id" leads to its name in tables/cut_file.jsonl.
4. "kit_id" of the segment leads to tables/kit.jsonl, from there to the machine and the container; "subject" in
   tables/event.jsonl tells what happened to a number, and when.

A column whose name ends in "_id" holds the "id" of a row in the table of that name; lengths are in mm, areas in mm2,
masses in kg, times in UTC (ISO 8601).

HOW TO KNOW THAT IT IS WHOLE

Compute the SHA-256 (FIPS 180-4) of each file and compare it with MANIFEST.json. Every row of tables/event.jsonl carries
the SHA-256 of what it says and of the row before it ("sha256", "previous_sha256"): of the JSON object with the members
actor, after, at, before, id, previous, subject, verb, in this order, without blanks, in UTF-8; "previous" is the
SHA-256 of the row before, 64 zeros for the first. The last one must be the one that the manifest names, and that
somebody wrote down elsewhere.

CAUTION

These records say which part a piece is. They never say that a machine is safe: follow your site's procedures and local
law before hands go in.
"""


class ArchiveWriter:
    """An archive in the making; use it as a context manager and end with ``finish``."""

    def __init__(self, target: IO[bytes]) -> None:
        self._zip = zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED)
        self._files: dict[str, ArchivedFile] = {}

    def __enter__(self) -> Self:
        self.add(README, [ABOUT.encode()])
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    @property
    def files(self) -> dict[str, ArchivedFile]:
        """What is in it so far."""
        return dict(self._files)

    def add(self, name: str, blocks: Iterable[bytes]) -> None:
        """A member, written as its bytes come."""
        digest, size = hashlib.sha256(), 0
        # A table may come to more than the form once allowed, which has to be said before its first byte.
        with self._zip.open(_member(name), "w", force_zip64=True) as member:
            for block in blocks:
                digest.update(block)
                size += len(block)
                member.write(block)
        self._files[name] = ArchivedFile(bytes=size, sha256=digest.hexdigest())

    def finish(self, manifest: ArchiveManifest) -> None:
        """The manifest, and with it the archive, is complete."""
        text = json.dumps(manifest.model_dump(), indent=1, ensure_ascii=False) + "\n"
        self._zip.writestr(_member(MANIFEST), text.encode())


def _member(name: str) -> zipfile.ZipInfo:
    member = zipfile.ZipInfo(name, date_time=EARLIEST)
    member.compress_type = zipfile.ZIP_DEFLATED
    # The system that made it would stand in it otherwise.
    member.create_system = 3
    member.external_attr = 0o644 << 16
    return member
