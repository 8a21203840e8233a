"""Routers for tests: those that are shipped, and strokes to engrave."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from schemas.router import Router, parse_router
from service.marks.engraving import Engraving, plan_engraving
from tests.part_factory import KEY, NUMBER, room_of

FOLDER = Path(__file__).parents[1] / "service" / "render" / "routers"
NAMES = tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


@cache
def make_router(name: str = "metric") -> Router:
    """A shipped router."""
    return parse_router((FOLDER / f"{name}.toml").read_text(encoding="utf-8"), source=f"{name}.toml")


def make_engraving(*, angle_deg: float = 0.0) -> Engraving:
    """A number in a field of 160 by 40 mm."""
    return plan_engraving(number=NUMBER, key=KEY, room=room_of(160, 40, angle_deg=angle_deg))
