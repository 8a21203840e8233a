"""The file of a router: what it must say, and how a fault is pointed at."""

from __future__ import annotations

import pytest

from schemas.router import parse_router
from service.errors import BadRouter
from tests.router_factory import FOLDER, NAMES

TEXT = (FOLDER / "metric.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", NAMES)
def test_the_shipped_routers_bear_the_names_of_their_files(name: str) -> None:
    router = parse_router((FOLDER / f"{name}.toml").read_text(encoding="utf-8"), source=f"{name}.toml")
    assert router.name == name
    assert router.first_tool("engrave") is not None
    assert router.first_tool("profile") is not None


@pytest.mark.parametrize(
    ("old", "new", "field", "words", "line"),
    [
        ('name = "metric"', 'name = "Metric!"', "name", "pattern", 3),
        ('end = ["M30"]', "end = []", "end", "at least 1 item", 8),
        ('"M30"', '"{speed}"', "router", "'{speed}' in end is no block", None),
        ('"M30"', '"m30; rm"', "router", "is no block", None),
        ("spindle_rpm = 18000", "spindle_rpm = 0", "tools[0].spindle_rpm", "greater than 0", 20),
        ("diameter_mm = 0.5", "diameter_mm = nan", "tools[0].diameter_mm", "finite number", 15),
        ("number = 2", "number = 1", "router", "two tools have one number", None),
        ('kind = "vee"', 'kind = "laser"', "tools[1].kind", "'flat', 'vee' or 'ball'", 26),
        ('use = "engrave"\nkind = "vee"', 'use = "profile"\nkind = "vee"', "tools[1]", "straight cutter", 22),
        ("number = 3", "number = 3\ncolour = 7", "tools[2].colour", "not permitted", 38),
        ("end =", "end", "router", "no TOML", 8),
    ],
)
def test_a_fault_names_field_and_line(old: str, new: str, field: str, words: str, line: int | None) -> None:
    assert old in TEXT
    with pytest.raises(BadRouter) as refusal:
        parse_router(TEXT.replace(old, new, 1), source="metric.toml")
    assert refusal.value.field == field
    assert words in refusal.value.what
    assert refusal.value.place == ("metric.toml" if line is None else f"metric.toml, line {line}")


def test_inches_ask_for_four_decimals() -> None:
    with pytest.raises(BadRouter, match="at least 4 decimals"):
        parse_router(TEXT.replace("[[tools]]", 'units = "inch"\n[[tools]]', 1), source="metric.toml")
