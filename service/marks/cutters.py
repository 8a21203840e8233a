"""The cutter that engraves: its form, how deep it goes, and how wide a groove it leaves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from service.errors import BadRequest

CutterKind = Literal["flat", "vee", "ball"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """An engraving cutter at its depth.

    Attributes:
        kind: ``flat`` a straight end, ``vee`` a cone on its point, ``ball`` a round nose.
        diameter_mm: of the shank that cuts; a groove is never wider.
        depth_mm: how far below the surface its tip runs.
        angle_deg: included angle of a V cutter; 0 for the others.
        tip_mm: width of the flat at the point of a V cutter; 0 for the others.

    Raises:
        BadRequest: a measure that no cutter has, or an angle on a cutter that is no V.
    """

    kind: CutterKind
    diameter_mm: float
    depth_mm: float
    angle_deg: float = 0.0
    tip_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no cutter can be."""
        for field in ("diameter_mm", "depth_mm"):
            value = getattr(self, field)
            if not (math.isfinite(value) and 0 < value <= 50):
                raise _refused(field, value, "it is a length above 0 and up to 50 mm")
        if self.kind == "vee" and not (math.isfinite(self.angle_deg) and 10 <= self.angle_deg <= 150):
            raise _refused("angle_deg", self.angle_deg, "a V cutter has an included angle of 10 to 150 degrees")
        if self.kind == "vee" and not (math.isfinite(self.tip_mm) and 0 <= self.tip_mm < self.diameter_mm):
            raise _refused("tip_mm", self.tip_mm, "the flat of a V cutter is narrower than its shank")
        if self.kind != "vee" and (self.angle_deg or self.tip_mm):
            raise _refused("angle_deg", self.angle_deg, "only a V cutter has an angle and a flat tip")

    @property
    def groove_mm(self) -> float:
        """Width of the groove at the surface.

        Geometry of the section: a cone of included angle a at depth t opens 2 t tan(a/2) beyond its flat; a sphere of
        radius r at depth t opens 2 sqrt(2 r t - t²) until it is as wide as itself.
        """
        if self.kind == "vee":
            opened = self.tip_mm + 2 * self.depth_mm * math.tan(math.radians(self.angle_deg) / 2)
            return min(opened, self.diameter_mm)
        radius = self.diameter_mm / 2
        if self.kind == "ball" and self.depth_mm < radius:
            return 2 * math.sqrt(2 * radius * self.depth_mm - self.depth_mm**2)
        return self.diameter_mm

    @property
    def words(self) -> str:
        """The cutter as a person at the router names it, with its depth."""
        form = {"flat": "straight cutter", "ball": "ball nose"}.get(self.kind, f"V cutter {self.angle_deg:g}°")
        return f"{form} {self.diameter_mm:g} mm, {self.depth_mm:g} mm deep"


USUAL_CUTTER = Cutter(kind="flat", diameter_mm=0.5, depth_mm=0.4)
"""Unless another is chosen. Width and depth for plastic are common practice, no source."""


def _refused(field: str, value: float, what: str) -> BadRequest:
    return BadRequest(what, field=field, value=value, todo="Give the measures of the cutter that is in the spindle")
