"""From the bytes that a shop sends to a kit manifest. What the bytes are, their content decides: JSON or a table."""

from __future__ import annotations

import json

from pydantic import ValidationError

from schemas.faults import Location, findings_of, place_in_json
from schemas.manifest import KitManifest
from schemas.manifest_table import ManifestTable, read_table
from service.errors import BadManifest, NotJson


def read_manifest(data: bytes) -> KitManifest:
    """Read a kit manifest from JSON or from a table of comma-, semicolon- or tab-separated values.

    Raises:
        NotJson: the bytes begin like JSON, or like nothing known, and are no JSON.
        BadCsv: the bytes are a table that cannot be read.
        BadManifest: the fields are wrong or missing; each fault is a finding with its place.
    """
    text = _text(data)
    opening = text.lstrip()[:1]
    if opening not in ("{", "[") and looks_like_table(text):
        table = read_table(text)
        return _validated(table.document, table)
    try:
        document = json.loads(text)
    except (ValueError, RecursionError) as error:
        line, column = (error.lineno, error.colno) if isinstance(error, json.JSONDecodeError) else (1, 1)
        raise NotJson(
            f"the body is no JSON: {_why(error)}",
            field="body",
            value=text[:60],
            todo="Send the manifest as a JSON object, or as a table whose first cell is 'plant.code'",
            place=f"line {line}, column {column}",
        ) from error
    return _validated(document, None)


def _why(error: Exception) -> str:
    if isinstance(error, json.JSONDecodeError):
        return error.msg[:1].lower() + error.msg[1:].removesuffix(" at")
    return "nested too deep" if isinstance(error, RecursionError) else "a number of too many digits"


def looks_like_table(text: str) -> bool:
    """Whether the text begins with a head row such as ``plant.code,OSV``."""
    first = next(iter(text.lstrip("\ufeff \t\r\n").splitlines()), "")
    return any(mark in first for mark in ",;\t") and not first.startswith(('"{', "<"))


def _validated(document: object, table: ManifestTable | None) -> KitManifest:
    def place_of(location: Location) -> str:
        return table.place_of(location) if table else place_in_json(location)

    try:
        return KitManifest.model_validate(document)
    except ValidationError as error:
        raise BadManifest(findings_of(error, rule="bad_manifest", place_of=place_of)) from error


def _text(data: bytes) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise NotJson(
            "the body is neither JSON nor a table: it is not UTF-8 text",
            field="body",
            value=repr(data[:20]),
            todo="Save the manifest as UTF-8 and send it again",
            place=f"byte {error.start}",
        ) from error
