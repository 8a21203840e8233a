"""Routers for tests: those that are shipped, and strokes to engrave."""

from __future__ import annotations

from schemas.router import Router
from service.marks.engraving import Engraving, plan_engraving
from service.settings import SHIPPED_ROUTERS
from service.store.router_folder import read_routers
from tests.part_factory import KEY, NUMBER, room_of

FOLDER = SHIPPED_ROUTERS
ROUTERS = read_routers([FOLDER])
NAMES = tuple(ROUTERS)


def make_router(name: str = "metric") -> Router:
    """A shipped router."""
    return ROUTERS[name]


def make_engraving(*, angle_deg: float = 0.0) -> Engraving:
    """A number in a field of 160 by 40 mm."""
    return plan_engraving(number=NUMBER, key=KEY, room=room_of(160, 40, angle_deg=angle_deg))
