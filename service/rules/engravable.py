"""What an engraving needs in each material: the smallest letters, the thinnest wall that stands, the sheet left below.

All values are common practice, no source. Polyethylene is soft and gums: an edge curls into a burr, and a thin wall
bends away from the cutter. Acetal and steel cut clean. Nothing here replaces a trial cut in the shop's own sheet.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.materials import material

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Engravable:
    """What holds in one material.

    Attributes:
        name: the material; empty for any.
        floor_mm: the smallest cap height that is cut.
        wall_mm: the thinnest wall that stands between two grooves, or inside a letter.
        left_mm: the least thickness that stays under a groove.
    """

    name: str
    floor_mm: float
    wall_mm: float
    left_mm: float

    def standing_mm(self, depth_mm: float, *, leaning_mm: float = 0.0) -> float:
        """The thinnest wall at the surface that stands beside a groove: on average half as thick as it is high.

        Args:
            depth_mm: of the groove.
            leaning_mm: by how much the wall is thicker on average than at the surface, because its sides lean.
        """
        return max(self.wall_mm, depth_mm / 2 - leaning_mm)

    def deepest_mm(self, thickness_mm: float) -> float:
        """How deep a sheet may be engraved: a third of it, and not so deep that less than ``left_mm`` stays."""
        return max(0.0, min(thickness_mm / 3, thickness_mm - self.left_mm))


ANY = Engravable(name="", floor_mm=2.5, wall_mm=0.3, left_mm=1.0)
"""Where the material is not on record; 2.5 mm is the smallest of the ISO 3098 series that a 0.4 mm cutter opens."""

ENGRAVABLE: dict[str, Engravable] = {
    row.name: row
    for row in (
        Engravable(name="UHMW-PE", floor_mm=3.5, wall_mm=0.4, left_mm=2.0),
        Engravable(name="HDPE", floor_mm=3.5, wall_mm=0.4, left_mm=2.0),
        Engravable(name="POM-C", floor_mm=2.5, wall_mm=0.2, left_mm=1.0),
        Engravable(name="PA6-G", floor_mm=2.5, wall_mm=0.3, left_mm=1.5),
        Engravable(name="PC", floor_mm=2.5, wall_mm=0.3, left_mm=1.5),
        Engravable(name="PVC-U", floor_mm=2.5, wall_mm=0.3, left_mm=1.5),
        Engravable(name="PET-P", floor_mm=2.5, wall_mm=0.25, left_mm=1.0),
        Engravable(name="304 stainless", floor_mm=2.5, wall_mm=0.15, left_mm=0.5),
    )
}
"""By the names of ``rules.materials``."""


def engravable(name: str | None) -> Engravable:
    """What holds in a material, or in any where none is named.

    Raises:
        UnknownCode: no material of the table goes by this name.
    """
    return ANY if not name else ENGRAVABLE[material(name).name]
