"""The silhouette of a container: a plain outline made of what the register holds, so that a crew knows the bottle.

It is drawn to scale from width, height and the first number of the neck finish, which is the nominal outside diameter
of the thread in millimetres (28-400: 28 mm; trade pages on neck finishes). The register holds no curve of a shoulder
and no height of a finish; those are drawn in plain proportions (common practice, no source). It is a picture, no
drawing.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

Point = tuple[float, float]

_FINISH = re.compile(r"\s*(\d{2,3}(?:\.\d)?)\s*[-/]\s*\d")

#: A neck whose finish is not on record, as a share of the body's width.
_USUAL_NECK = 0.42
#: Height of the finish as a share of its diameter.
_FINISH_HEIGHT = 0.62
#: A neck is at most this share of the body, and body and finish leave the shoulder at least this share of the height.
_WIDEST_NECK = 0.96
#: Height of the shoulder as a share of the whole: a round bottle slopes, an angular one has a short one.
_ROUND_SHOULDER, _ANGULAR_SHOULDER = 0.26, 0.11
#: Radius of the foot's corner as a share of the width.
_FOOT = 0.06
#: The ring under a finish: how far it stands out, and its height, as shares of the neck.
_RING_OUT, _RING_HIGH = 0.07, 0.09
#: The waist lies between these shares of the body's height.
_WAIST_FROM, _WAIST_TO = 0.2, 0.8
_STEPS = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """What the register says of a container's shape.

    Attributes:
        shape: in words: ``round``, ``square``, ``round, waisted``.
        width_mm: of the body as the machine's outfeed sees it; the diameter of a round one.
        height_mm: over all.
        waist_mm: the narrowest the body gets, where it is waisted.
        neck_finish: by its standard name, ``28-410``; empty where it is not on record.
    """

    shape: str
    width_mm: float
    height_mm: float
    waist_mm: float | None = None
    neck_finish: str = ""

    @property
    def neck_mm(self) -> float:
        """Diameter of the neck: of the finish where it is on record."""
        found = _FINISH.match(self.neck_finish)
        wanted = float(found[1]) if found else _USUAL_NECK * self.width_mm
        return min(wanted, _WIDEST_NECK * self.width_mm)

    @property
    def angular(self) -> bool:
        """Whether it has flat sides."""
        return any(word in self.shape.casefold() for word in ("square", "rectang", "flat", "angular", "panel"))


def silhouette(container: Container) -> tuple[Point, ...]:
    """The outline in mm, y up from the foot, the middle of the container at x = 0; not closed."""
    right = _right_side(container)
    return (*right, *((-x, y) for x, y in reversed(right)))


def _right_side(container: Container) -> list[Point]:
    """From the foot's edge to the mouth's."""
    half, height, neck = container.width_mm / 2, container.height_mm, container.neck_mm
    finish = min(_FINISH_HEIGHT * neck, 0.25 * height)
    share = _ANGULAR_SHOULDER if container.angular else _ROUND_SHOULDER
    shoulder = min(share * height, height - finish) if half > neck / 2 else 0.0
    foot = min(_FOOT * container.width_mm, 0.2 * height)
    body_top = height - finish - shoulder
    points = [
        (half - foot + foot * math.sin(turn), foot - foot * math.cos(turn))
        for turn in (math.pi / 2 * step / _STEPS for step in range(_STEPS + 1))
    ]
    points += _waist(container, foot, body_top)
    points += [
        (neck / 2 + (half - neck / 2) * math.cos(turn), body_top + shoulder * math.sin(turn))
        for turn in (math.pi / 2 * step / _STEPS for step in range(_STEPS + 1))
    ]
    if container.neck_finish:
        out, high = min(neck / 2 * (1 + 2 * _RING_OUT), half), min(_RING_HIGH * neck, 0.4 * finish)
        points += [(out, height - finish), (out, height - finish + high), (neck / 2, height - finish + high)]
    points.append((neck / 2, height))
    return points


def _waist(container: Container, foot: float, body_top: float) -> list[Point]:
    """The side of a waisted body, drawn in where the register says how far."""
    waist = container.waist_mm
    if waist is None or not 0 < waist < container.width_mm or "waist" not in container.shape.casefold():
        return []
    deep, low, high = (container.width_mm - waist) / 2, _WAIST_FROM, _WAIST_TO
    return [
        (
            container.width_mm / 2 - deep * math.sin(math.pi * step / _STEPS) ** 2,
            foot + (body_top - foot) * (low + (high - low) * step / _STEPS),
        )
        for step in range(_STEPS + 1)
    ]
