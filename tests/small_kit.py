"""A small kit for tests of the verbs: a star in four quarters that touch, a guide with a hand, twelve plates."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from ezdxf.document import Drawing

from schemas.answers import KitAnswer, RevisionAnswer
from schemas.manifest_reading import read_manifest
from service.numbering.number import KitNumber, Number, Place
from service.rules.joints import Member, Release, joint_history
from service.store import cutfiles
from service.work.issue import issue_kit
from service.work.release import release_revision
from service.work.workshop import Workshop

QUARTERS = {1: (0.0, 0.0), 2: (0.0, -150.3), 3: (-150.3, -150.3), 4: (-150.3, 0.0)}
"""Lower left corners of four squares of 150 mm, 0.3 mm apart, numbered clockwise."""
NUMBER_U3, NUMBER_U4 = "OSV4-FC1-A500-SW2-U3-42", "OSV4-FC1-A500-SW2-U4-39"
NUMBER_U2, NUMBER_PLATES = "OSV4-FC1-A500-SW2-U2-45", "OSV4-FC1-A500-BP1-X1-62"


@cache
def make_dxf(
    *,
    corner: tuple[float, float] = (0.0, 0.0),
    width_mm: float = 150.0,
    height_mm: float = 150.0,
    hole_mm: float = 20.0,
    hole_at: tuple[float, float] | None = None,
    insunits: int = 4,
    mm_per_unit: float = 1.0,
) -> bytes:
    """A plate with one hole, its lower left corner at ``corner``; lengths in mm whatever the unit of the file."""
    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = insunits
    x, y, width, height = (value / mm_per_unit for value in (*corner, width_mm, height_mm))
    model = document.modelspace()
    model.add_lwpolyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], close=True)
    middle = hole_at or ((x + width / 5) * mm_per_unit, (y + height / 5) * mm_per_unit)
    model.add_circle((middle[0] / mm_per_unit, middle[1] / mm_per_unit), hole_mm / 2 / mm_per_unit)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def file_of(place: str, *, kit: str = "osv4-fc1-a500") -> str:
    """The cut file of a place, ``SW2-U3`` to ``osv4-fc1-a500-sw2-u3.dxf``."""
    return f"{kit}-{place.lower()}.dxf"


def segment(place: str, **changes: object) -> dict[str, object]:
    """A segment of the manifest at a place, with what the test changes."""
    deck, ordinal = place.split("-")[1][0], int(place.split("-")[1][1:])
    plain: dict[str, object] = {
        "deck": deck,
        "ordinal": ordinal,
        "cut_file": file_of(place),
        "revision": "-",
        "material": "UHMW-PE",
        "thickness_mm": 25.0,
    }
    return {**plain, **changes}


def manifest(*, segments: Mapping[str, Sequence[dict[str, object]]] | None = None, **changes: object) -> dict[str, Any]:
    """The manifest of the small kit, with what the test changes."""
    star = [segment(f"SW2-U{ordinal}") for ordinal in QUARTERS]
    plain: dict[str, Any] = {
        "plant": {"code": "OSV", "name": "Ostrey Vale", "customer": "Tarnquill Waters"},
        "line": {"ordinal": 4},
        "machine": {"class": "FC", "ordinal": 1, "rotation": "clockwise"},
        "container": {
            "code": "A500",
            "name": "tall round 500 mL",
            "nominal": 500,
            "unit": "mL",
            "shape": "round",
            "diameter_mm": 65.3,
            "height_mm": 212.0,
        },
        "stock_colour": "green",
        "assemblies": [
            {"code": "SW", "ordinal": 2, "name": "discharge star wheel", "segments": star},
            {"code": "OR", "ordinal": 1, "segments": [segment("OR1-L1", hand="LEFT")]},
            {"code": "BP", "ordinal": 1, "segments": [segment("BP1-X1", quantity=40, thickness_mm=15.0)]},
        ],
    }
    if segments is not None:
        plain["assemblies"] = [
            {"code": name[:2], "ordinal": int(name[2:]), "segments": list(rows)} for name, rows in segments.items()
        ]
    return {**plain, **changes}


def release(
    workshop: Workshop,
    place: str,
    *,
    revision: str = "-",
    data: bytes | None = None,
    joints_changed: str = "",
    interfaces_changed: str = "",
) -> RevisionAnswer:
    """A revision of the cut file of a place; the quarters of the star lie in assembly coordinates.

    A quarter's edge lies where the joint revisions say that it declares and carries put it, so that record and outlines
    agree unless the test brings its own file.
    """
    if data is None and place.startswith("SW2-U"):
        data = _quarter(workshop, place, revision, joints_changed)
    return release_revision(
        workshop,
        file_of(place),
        data or make_dxf(),
        revision=revision,
        joints_changed=joints_changed,
        interfaces_changed=interfaces_changed,
    )


def _quarter(workshop: Workshop, place: str, revision: str, joints_changed: str) -> bytes:
    """A quarter whose edges are moved by a millimetre for each revision of the joint that they carry."""
    changed = frozenset(" ".join(name.split()).upper() for name in joints_changed.split(","))
    coming = Release(revision, 1_000_000, joints_changed=changed)
    ordinal = int(place[-1])
    left, bottom = QUARTERS[ordinal]
    right, top = left + 150.0, bottom + 150.0
    levels = {beside: _level(workshop, ordinal, beside, coming) for beside in (ordinal % 4 + 1, (ordinal - 2) % 4 + 1)}
    for beside, level in levels.items():
        x, y = QUARTERS[beside]
        if x > left + 1 and abs(y - bottom) < 1:
            right += level
        elif x < left - 1 and abs(y - bottom) < 1:
            left += level
        elif y > bottom:
            top += level
        else:
            bottom += level
    if not any(levels.values()):
        return make_dxf(corner=QUARTERS[ordinal])
    hole_at = (QUARTERS[ordinal][0] + 30.0, QUARTERS[ordinal][1] + 30.0)
    return make_dxf(corner=(left, bottom), width_mm=right - left, height_mm=top - bottom, hole_at=hole_at)


def _level(workshop: Workshop, ordinal: int, beside: int, coming: Release) -> int:
    """The revision of the joint that a release carries which is about to come."""
    members = []
    for each in (ordinal, beside):
        place = f"SW2-U{each}"
        with workshop.database.read() as connection:
            releases = [
                Release(row.letter, row.id, joints_changed=frozenset(row.joints_changed))
                for row in cutfiles.revisions(connection, file_of(place))
            ]
        if each == ordinal:
            releases.append(coming)
        number = str(Number(KitNumber.parse("OSV4-FC1-A500"), Place.parse(place)))
        members.append(Member(number, place, file_of(place), tuple(releases), None))
    return joint_history(*members).level(members[0], coming.letter)


def release_all(workshop: Workshop) -> None:
    """The initial release of every cut file of the small kit."""
    for place in [*(f"SW2-U{ordinal}" for ordinal in QUARTERS), "OR1-L1", "BP1-X1"]:
        release(workshop, place)


def issue_small(workshop: Workshop, **changes: object) -> KitAnswer:
    """The small kit, issued."""
    return issue_kit(workshop, read_manifest(as_bytes(manifest(**changes))))  # type: ignore[arg-type]  # fields by name


def as_bytes(document: Mapping[str, object]) -> bytes:
    """A document as a client sends it."""
    return json.dumps(document).encode()
