"""Facts, templates and layouts for tests of marks, from the demo scenario."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, cast

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts, link, message_15434
from service.marks.dots import dots_per_mm
from service.marks.items import Layout
from service.marks.kit_plan import KitPlan, kit_plan
from service.marks.layout import lay_out
from service.marks.silhouette import Container
from service.render.fonts import typeface
from tests.part_factory import make_kit
from tests.template_text import parse_template

TEMPLATE_FOLDER = Path(__file__).parents[1] / "label_templates"
TEMPLATE_NAMES = sorted(path.stem for path in TEMPLATE_FOLDER.glob("*.toml"))
DPIS = (203, 300, 600)

#: Numbers and keys whose checks are right.
NUMBER, KEY = "OSV4-FC1-A500-SW2-U3-42", "K7M4XRAW"

#: The longest that the demo and a sensible shop ask of a mark.
LONGEST: dict[str, Any] = {
    "number": "OSV4-FC1-A500-SW12-U13-42",
    "public_url": "https://kitwright.example.org/marks1",  # a link of 47 characters
    "container_words": "tall round 500 mL",
    "assembly_name": "discharge star wheel",
    "deck": "middle",
    "segment_of": "segment 13 of 24",
    "hand": "RIGHT",
    "quantity": 40,
    "stock_colour": "natural",
    "mass_kg": 112.4,
    "thickness_mm": 31.75,
}


def template_text(name: str) -> str:
    return (TEMPLATE_FOLDER / f"{name}.toml").read_text(encoding="utf-8")


def make_template(name: str = "nameplate-60x22") -> LabelTemplate:
    return parse_template(template_text(name), source=f"{name}.toml")


@cache
def demo_plan() -> KitPlan:
    """The plan of a kit of star wheels and guides; the usual mark is of one of its parts."""
    parts = [replace(part, id=NUMBER) if part.place == "SW2-U3" else part for part in make_kit()]
    return kit_plan("OSV4-FC1-A500", parts)


def make_facts(
    *, number: str = NUMBER, key: str = KEY, public_url: str = "http://127.0.0.1:8000", **others: object
) -> MarkFacts:
    facts: dict[str, Any] = {
        "container_name": "tall round",
        "container_code": "A500",
        "container_words": "tall round 500 mL",
        "kit": "OSV4-FC1-A500",
        "assembly_name": "discharge star wheel",
        "assembly_code": "SW2",
        "deck": "upper",
        "place": "SW2-U3",
        "segment_of": "segment 3 of 4",
        "hand": "LEFT",
        "rotation": "clockwise seen from above",
        "material": "UHMW-PE",
        "thickness_mm": 25.0,
        "mass_kg": 3.21,
        "revision": "B",
        "stock_colour": "green",
        "line": "line 4",
        "machine": "filler-capper 1",
        "machine_code": "OSV4-FC1",
        "plant": "Ostrey Vale",
        "customer": "Tarnquill Waters",
        "shop_name": "Kitwright demo shop",
        "shop_telephone": "+44 1632 960118",
        "shop_address": "3 Mill Lane",
        "serves": ("OSV4-FC1-C500",),
        "contents": (("SW1", 4), ("SW2", 4), ("CG1", 2)),
        "kit_pieces": 10,
        "kit_mass_kg": 38.2,
        "container": Container(shape="round", width_mm=65.3, height_mm=212.0, neck_finish="28-410"),
        "plan": demo_plan(),
        **others,
    }
    return MarkFacts(
        number=number,
        key=key,
        link=link(public_url, key),
        message=message_15434(number, key, facts["revision"], facts.get("quantity", 1)),
        **facts,
    )


def make_layout(
    template: str = "nameplate-60x22", *, dpi: int = 203, black_only: bool = False, **facts: object
) -> Layout:
    made = make_facts(**cast("dict[str, Any]", facts))
    return lay_out(make_template(template), made, typeface(), dots_per_mm(dpi), black_only=black_only)
