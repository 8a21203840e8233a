"""A mark that shows what a template looks like: an invented star wheel, its number and key with right checks."""

from __future__ import annotations

import math
from functools import lru_cache

from service.marks.content import MarkFacts, link, message_15434
from service.marks.kit_plan import KitPlan, PlanPanel, PlanShape
from service.marks.silhouette import Container
from service.rules.colours import STOCK_COLOURS

NUMBER, KEY, KIT = "OSV4-FC1-A500-SW2-U3-42", "K7M4XRAW", "OSV4-FC1-A500"
_REVISION, _QUANTITY = "B", 1
#: Radii of the sample's star, and how many parts its rim has in a half.
_OUTER_MM, _POCKET_MM, _HUB_MM, _TEETH = 190.0, 165.0, 55.0, 6
_GAP_MM = 3.0


def sample_facts(public_url: str) -> MarkFacts:
    """The facts of the sample; every field of a template has something to show."""
    return MarkFacts(
        number=NUMBER,
        key=KEY,
        link=link(public_url, KEY),
        message=message_15434(NUMBER, KEY, _REVISION, _QUANTITY),
        container_name="tall round",
        container_code="A500",
        container_words="tall round 500 mL",
        kit=KIT,
        assembly_name="discharge star wheel",
        assembly_code="SW2",
        deck="upper",
        place="SW2-U3",
        segment_of="segment 3 of 4",
        hand="LEFT",
        rotation="clockwise seen from above",
        quantity=_QUANTITY,
        material="UHMW-PE",
        thickness_mm=25.0,
        mass_kg=16.4,
        revision=_REVISION,
        stock_colour="green",
        line="line 4",
        machine="filler-capper 1",
        machine_code="OSV4-FC1",
        plant="Ostrey Vale",
        customer="Tarnquill Waters",
        shop_name="Demonstration shop",
        shop_telephone="+00 555 0100",
        shop_address="1 Router Lane",
        serves=("C500",),
        contents=(("SW1", 4), ("SW2", 4), ("CG1", 2), ("OR1", 4)),
        kit_pieces=14,
        kit_mass_kg=38.2,
        container=Container(shape="round", width_mm=65.3, height_mm=212.0, neck_finish="28-410"),
        plan=sample_plan(),
    )


@lru_cache(maxsize=1)
def sample_plan() -> KitPlan:
    """Two star wheels in quarters, of which the sample is one."""
    return KitPlan(KIT, (_star("SW1 upper", "SW1-U"), _star("SW2 upper", "SW2-U")))


def _star(label: str, place: str) -> PlanPanel:
    green = STOCK_COLOURS["green"].rgb
    shapes = []
    for quarter in range(4):
        # The third quarter of the second star is the mark's own.
        own = place == "SW2-U" and quarter == 2
        shapes.append(PlanShape(NUMBER if own else f"{KIT}-{place}{quarter + 1}", green, (_quarter(quarter),)))
    return PlanPanel(label=label, width_mm=2 * _OUTER_MM, height_mm=2 * _OUTER_MM, shapes=tuple(shapes))


def _quarter(quarter: int) -> tuple[tuple[float, float], ...]:
    """A quarter of a star wheel with its pockets, a little apart from the next."""
    start = quarter * math.pi / 2
    middle = start + math.pi / 4
    away = _GAP_MM / math.sqrt(2)
    dx, dy = away * math.cos(middle), away * math.sin(middle)
    steps = _TEETH * 4
    rim = []
    for step in range(steps + 1):
        angle = start + step * math.pi / 2 / steps
        radius = _POCKET_MM if step % 4 in (1, 2) else _OUTER_MM - _GAP_MM
        rim.append((radius, angle))
    hub = [(_HUB_MM, start + (8 - step) * math.pi / 16) for step in range(9)]
    return tuple(
        (
            round(_OUTER_MM + radius * math.cos(angle) + dx, 2),
            round(_OUTER_MM + radius * math.sin(angle) + dy, 2),
        )
        for radius, angle in [*rim, *hub]
    )
