"""Where a value stands: the scanner knows every path that the standard library's reader finds."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.toml_places import Path, TomlPlaces, brief, path_text
from service.settings import SHIPPED_TEMPLATES

TEXT = '''# heading = 1
name = "a" # width = 2
"quoted key" = 1
a.b.c = 1
words = { en = "x = [1]", de = 'y', deep = { er = [1, 2] } }
lists = [
    # a comment with [[brackets]]
    1.5,
    [2, 3],
    { x = 4, y = "}" },
]
long = """
[not.a.table]
key = 1
"""
[table]
x = 1
[[fields]]
show = ["a"]
[[fields]]
show = ["b",
    "c"]
[fields.sub]
z = 1
[[fields.parts]]
q = 2
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 2),
        (("quoted key",), 3),
        (("a", "b"), 4),
        (("a", "b", "c"), 4),
        (("words", "de"), 5),
        (("words", "deep", "er", 1), 5),
        (("lists",), 6),
        (("lists", 0), 8),
        (("lists", 1, 1), 9),
        (("lists", 2, "y"), 10),
        (("long",), 12),
        (("table", "x"), 17),
        (("fields", 0), 18),
        (("fields", 1, "show", 1), 22),
        (("fields", 1, "missing"), 20),
        (("fields", 1, "sub", "z"), 24),
        (("fields", 1, "parts", 0, "q"), 26),
        (("missing",), None),
        (("not", "a"), None),
    ],
)
def test_every_kind_of_key_has_its_line(path: Path, line: int | None) -> None:
    assert tomllib.loads(TEXT)
    assert TomlPlaces.of(TEXT).line(path) == line


def paths(data: object, path: Path = ()) -> Iterator[Path]:
    children = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in children:
        yield (*path, key)
        yield from paths(value, (*path, key))


@pytest.mark.parametrize(
    "text", [TEXT, *(path.read_text(encoding="utf-8") for path in SHIPPED_TEMPLATES.glob("*.toml"))]
)
def test_every_path_of_the_document_and_no_other_is_found(text: str) -> None:
    assert TomlPlaces.of(text).lines.keys() == set(paths(tomllib.loads(text)))


def test_the_path_on_a_line_is_the_outermost() -> None:
    places = TomlPlaces.of(TEXT)
    assert places.path_on(5) == ("words",)
    assert places.path_on(20) == ("fields", 1)
    assert places.path_on(7) == ()


def test_depth_is_counted_without_recursion() -> None:
    assert TomlPlaces.of("a = " + "[" * 100_000).depth >= 100_000
    assert TomlPlaces.of("a." * 100_000 + "b = 1").depth >= 100_000
    assert TomlPlaces.of("a = " + "{ a = " * 50_000).depth >= 50_000
    assert TomlPlaces.of(TEXT).depth < 8


@pytest.mark.parametrize("part", ['"', '"\\', "'", '"""', "'''", '""""', "[[", "a.", "{a=", "]", "=", ',"', "\\\n"])
def test_a_large_hostile_text_is_read_in_one_pass(part: str) -> None:
    TomlPlaces.of(part * (262_144 // len(part)))


@given(st.text(alphabet="ab.=[]{}\"'#,\n \\", max_size=200))
def test_any_text_is_read(text: str) -> None:
    places = TomlPlaces.of(text)
    assert all(1 <= line <= text.count("\n") + 1 for line in places.lines.values())
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert places.lines.keys() == set(paths(data))


def test_values_are_quoted_briefly() -> None:
    assert [brief(value) for value in (True, 1.5, {"a": 1}, [1], "x" * 100)] == [
        "true", "1.5", "a table", "a list", "x" * 77 + "…",
    ]  # fmt: skip
    assert path_text(("symbols", 1, "kind")) == "symbols[1].kind"
