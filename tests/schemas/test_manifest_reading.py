"""A manifest's bytes: what they are, their content decides."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.manifest import KitManifest
from schemas.manifest_examples import MANIFEST
from schemas.manifest_reading import read_manifest
from schemas.manifest_table import EXAMPLE
from service.errors import BadInput, BadManifest, NotJson
from tests.small_kit import manifest

JSON_TEXT = json.dumps(manifest())


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("text", [JSON_TEXT, EXAMPLE], ids=["json", "table"])
def test_the_encodings_that_programs_save_in(text: str, encoding: str) -> None:
    data = text.encode(encoding)
    if encoding == "utf-16-le":
        data = b"\xff\xfe" + data
    if encoding == "utf-16-be":
        data = b"\xfe\xff" + data
    assert read_manifest(data) == read_manifest(text.encode())


@pytest.mark.parametrize(
    "text", [f"\r\n  {JSON_TEXT}\n", JSON_TEXT.replace(", ", "\n,\t"), json.dumps(manifest(), indent=4)]
)
def test_blanks_round_json_say_nothing(text: str) -> None:
    assert read_manifest(text.encode()) == KitManifest.model_validate(manifest())


def test_the_example_is_a_manifest() -> None:
    assert read_manifest(json.dumps(MANIFEST).encode()).plant.code == "OSV"


@pytest.mark.parametrize(
    ("data", "why", "place"),
    [
        (b"", "expecting value", "line 1, column 1"),
        (b"{", "expecting property name", "line 1, column 2"),
        (b'{"plant":\n  oops}', "expecting value", "line 2, column 3"),
        (b"[" * 100_000, "nested too deep", "line 1, column 1"),
        (b'{"line": {"ordinal": ' + b"9" * 5000 + b"}}", "a number of too many digits", "line 1, column 1"),
        (b"\xc3\x28", "not UTF-8", "byte 0"),
        (b"\xff\xfe\x00", "not UTF-8", "byte"),
        (b"PK\x03\x04, a spreadsheet\xff", "not UTF-8", "byte"),
        (b"<kit><plant>OSV</plant></kit>", "expecting value", "line 1, column 1"),
    ],
)
def test_what_is_neither_json_nor_a_table_says_why_and_where(data: bytes, why: str, place: str) -> None:
    with pytest.raises(NotJson) as caught:
        read_manifest(data)
    assert why in caught.value.what
    assert (caught.value.place or "").startswith(place)
    assert (caught.value.field, bool(caught.value.todo)) == ("body", True)


@pytest.mark.parametrize("data", [b"null", b"17", b'"OSV"', b"[]", b"NaN", b"{}", b'{"plant": {"code": "\\ud800"}}'])
def test_json_of_another_shape_is_a_bad_manifest(data: bytes) -> None:
    with pytest.raises(BadManifest) as caught:
        read_manifest(data)
    assert caught.value.findings


@given(data=st.binary(max_size=300) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
def test_no_bytes_are_read_as_something_else_or_break_the_reader(data: bytes) -> None:
    with pytest.raises(BadInput):
        read_manifest(data)


@given(cut=st.integers(0, EXAMPLE.index("SW2,")))
def test_a_table_that_was_cut_off_is_refused_with_its_place(cut: int) -> None:
    with pytest.raises(BadInput):
        read_manifest(EXAMPLE[:cut].encode())
