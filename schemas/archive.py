"""The manifest of an exported archive: what is in it, how much, and by which hashes one knows that it is whole."""

from __future__ import annotations

import re
from typing import Final, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from service.errors import ArchiveTooNew, BadArchive

FORMAT: Final = "kitwright-archive"
FORMAT_VERSION: Final = 1

Sha256 = Field(pattern=r"^[0-9a-f]{64}$", description="64 lower-case hexadecimal digits (FIPS 180-4).")
ColumnKind = Literal["integer", "number", "text", "boolean", "bytes"]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class ArchivedFile(_Part):
    """A member of the archive, unpacked."""

    bytes: int = Field(ge=0, description="How long it is.")
    sha256: str = Sha256


class ArchivedTable(_Part):
    """A table: one JSON object a line in ``tables/<name>.jsonl``, in the order of the primary key."""

    name: str = Field(pattern=r"^[a-z][a-z0-9_]{0,62}$", description="As in the database.")
    rows: int = Field(ge=0, description="How many lines the file has.")
    primary_key: list[str] = Field(description="The columns that name a row, and by which rows are ordered.")
    columns: dict[str, ColumnKind] = Field(description="Each column with its kind; bytes are written in base64.")


class ArchivedLedger(_Part):
    """The ledger when it was exported: how many rows, the last one, and what was wrong with it already then."""

    rows: int = Field(ge=0, description="How many events were read.")
    tip: str = Field(
        pattern=r"^[0-9a-f]{64}:[0-9]{1,18}$", description="The last row, as SHA-256, a colon, its number."
    )
    faults: list[str] = Field(description="In sentences; empty when it was whole.")


class LeftOut(_Part):
    """A released cut file or a photograph that was missing or altered already when the archive was made."""

    cut_file: str = Field(description="Its name, or which photograph it is.")
    revision: str = Field(description="Its revision, ``-`` or letters; empty for a photograph.")
    sha256: str = Sha256
    reason: str = Field(description="Missing or altered, in words.")


class ArchiveManifest(_Part):
    """``MANIFEST.json``. Tables stand in the order in which they can be filled: what others refer to comes first."""

    format: Literal["kitwright-archive"] = Field(description="What this file is.")
    format_version: int = Field(ge=1, description="Of the form of the archive; a later one is not read.")
    product_version: str = Field(description="The version of the program that made it.")
    schema_revision: str = Field(
        pattern=r"^[0-9A-Za-z_]{1,32}$",
        description="The migration that the tables stood at; older ones are brought up.",
    )
    ledger: ArchivedLedger = Field(description="The ledger as it stood.")
    tables: list[ArchivedTable] = Field(description="In the order in which they can be filled.")
    files: dict[str, ArchivedFile] = Field(description="Every other member of the archive by its path.")
    left_out: list[LeftOut] = Field(description="Released cut files and photographs that are not in it.")


_VERSION = re.compile(rb'\s*\{\s*"format": "%b",\s*"format_version": (\d{1,9})\b' % FORMAT.encode())


def read_manifest(data: bytes, *, place: str) -> ArchiveManifest:
    """The manifest that bytes hold; ``place`` is where they stand.

    Raises:
        ArchiveTooNew: a later form than this program reads.
        BadArchive: not a manifest; what is wrong first is named.
    """
    version = _VERSION.match(data)
    if version is not None and int(version[1]) > FORMAT_VERSION:
        raise ArchiveTooNew(
            "this form of archive is newer than this version of the program",
            field="format_version",
            value=version[1].decode(),
            todo="Restore it with the version of the program that made it, or a newer one",
            place=place,
        )
    try:
        return ArchiveManifest.model_validate_json(data)
    except ValidationError as error:
        fault = error.errors(include_url=False, include_input=False)[0]
        raise BadArchive(
            f"the manifest is wrong: {fault['msg'][:1].lower()}{fault['msg'][1:]}",
            field=".".join(map(str, fault["loc"])) or "manifest",
            value=place,
            todo="Restore from another copy of the archive; nothing of this one was kept",
            place=place,
        ) from None
