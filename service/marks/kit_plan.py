"""The plan of a kit as a mark carries it: outlines in their stock colours, a panel for each assembly and deck.

It is made once for all marks of a kit; each mark then says which of the parts it stands for. Outlines are thinned to
what a printer can show at the size of a placard.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.marks.plan import PlanPart, grouped
from service.outlines.paths import ring_points, simplified

Point = tuple[float, float]
Ring = tuple[Point, ...]

#: Outlines move by at most this share of the largest panel: a twentieth of a millimetre on a picture of 100 mm.
_THINNED = 1 / 2000


@dataclass(frozen=True, slots=True)
class PlanShape:
    """One segment seen from above.

    Attributes:
        number: of the segment.
        rgb: its stock colour.
        rings: its outlines in mm, y up, filled even-odd; not closed.
    """

    number: str
    rgb: tuple[int, int, int]
    rings: tuple[Ring, ...]


@dataclass(frozen=True, slots=True)
class PlanPanel:
    """One assembly and deck.

    Attributes:
        label: ``SW2 upper``.
        width_mm: what its parts cover.
        height_mm: likewise.
        shapes: its parts, from 0, 0 at the lower left.
    """

    label: str
    width_mm: float
    height_mm: float
    shapes: tuple[PlanShape, ...]


@dataclass(frozen=True, slots=True)
class KitPlan:
    """All panels of a kit, in assembly order."""

    kit: str
    panels: tuple[PlanPanel, ...]


def kit_plan(kit: str, parts: Sequence[PlanPart]) -> KitPlan:
    """The plan of a kit from its parts in assembly order."""
    panels = grouped(parts)
    largest = max((max(panel.width_mm, panel.height_mm) for panel in panels), default=0.0)
    return KitPlan(
        kit,
        tuple(
            PlanPanel(
                label=_label(panel.parts[0][0]),
                width_mm=panel.width_mm,
                height_mm=panel.height_mm,
                shapes=tuple(
                    PlanShape(
                        part.id,
                        part.colour,
                        tuple(
                            tuple(
                                (round(x + dx - panel.bounds_mm[0], 2), round(y + dy - panel.bounds_mm[1], 2))
                                for x, y in ring
                            )
                            for ring in ring_points(simplified(part.drawing.material, largest * _THINNED))
                        ),
                    )
                    for part, dx, dy in panel.parts
                ),
            )
            for panel in panels
        ),
    )


def _label(part: PlanPart) -> str:
    """What stands over the panel of a part: its assembly's code and its deck."""
    return f"{part.place.partition('-')[0]} {part.deck}".strip()
