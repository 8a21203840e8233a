"""Work sheets for tests."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from typing import Any

from service.marks.engraving import Engraving, plan_engraving
from service.marks.work_sheet import AlsoCutRow, JointRow, WorkSheet
from service.outlines.drawing import Drawing
from tests.part_factory import GREEN, KEY, NUMBER, make_drawing, star_segment
from tests.plain_room import Room


def make_work_sheet(**changes: Any) -> WorkSheet:
    """A sheet for a quarter of a star wheel, with what ``changes`` says otherwise."""
    drawing, engraving = _part()
    fields: dict[str, Any] = {
        "title": "Work sheet for reorder 17",
        "number": NUMBER,
        "key": KEY,
        "kit": "OSV4-FC1-A500",
        "container": "A500 tall round 500 mL",
        "assembly": "discharge star wheel 2, upper deck, segment 3 of 4",
        "customer": "Tarnquill Waters",
        "plant": "Ostrey Vale",
        "line": "line 7",
        "machine": "filler-capper 1, born as OSV4-FC1",
        "reason": "crushed in a jam",
        "ordered": datetime(2031, 3, 4, 14, 5, tzinfo=UTC),
        "outcome": "exact",
        "reasons": ("the damaged piece was cut from revision B",),
        "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
        "revision": "B",
        "sha256": "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
        "material": "UHMW-PE",
        "colour": "green",
        "colour_rgb": GREEN,
        "thickness_mm": 25.0,
        "mass_kg": 3.214,
        "quantity": 1,
        "hand": "LEFT",
        "also_cut": (
            AlsoCutRow(
                number="OSV4-FC1-A500-SW2-U4-39",
                cut_file="osv4-fc1-a500-sw2-u4.dxf",
                revision="C",
                why="its side of the joint is older",
            ),
        ),
        "joints": (
            JointRow(neighbour="OSV4-FC1-A500-SW2-U2-45", form="dovetail", clearance_mm=0.15, fits="same revision"),
            JointRow(neighbour="OSV4-FC1-A500-SW2-U4-39", form="dovetail", clearance_mm=None, fits="cut with it"),
        ),
        "cautions": (
            "Isolate and lock out the machine before hands go in",
            "Follow your site's procedures and local law; this tool does not authorise work",
        ),
        "shop_name": "the shop",
        "shop_telephone": "+00 555 0142",
        "drawing": drawing,
        "engraving": engraving,
    }
    return WorkSheet(**(fields | changes))


@cache
def _part() -> tuple[Drawing, Engraving]:
    drawing = make_drawing(star_segment(pockets=24, pitch_radius_mm=400, pocket_mm=68, segments=4, ordinal=1))
    return drawing, plan_engraving(number=NUMBER, key=KEY, room=Room(drawing).rectangle)
