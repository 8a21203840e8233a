"""What is measured on a finished part: overall lengths, bore, pockets, mounting holes and how far they lie apart."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from service.outlines.drawing import Drawing
from service.outlines.features import holes_of
from service.outlines.figures import outline_figures
from service.outlines.hole_pattern import WIDEST_MM, hole_pattern
from service.outlines.wheel_arcs import axis_of, outline_arcs

MOST_HOLES = 12
"""More holes than this are measured one by one and not against each other."""


@dataclass(frozen=True, slots=True)
class MeasuredFeature:
    """One length to be measured.

    Attributes:
        what: in words, for example ``hole A to hole B, middle to middle``.
        nominal_mm: as drawn, at 20 °C.
    """

    what: str
    nominal_mm: float


@dataclass(frozen=True, slots=True)
class Inspected:
    """What is measured, and where the holes are that it names.

    Attributes:
        features: in the order of measuring.
        holes: the letter of each mounting hole and its middle in mm.
    """

    features: tuple[MeasuredFeature, ...]
    holes: tuple[tuple[str, tuple[float, float]], ...]


def inspected(drawing: Drawing) -> Inspected:
    """The features of a part that tell whether it was cut right.

    Args:
        drawing: the released outline.
    """
    figures = outline_figures(drawing)
    features = [
        MeasuredFeature("greatest length, corner to corner", figures.length_mm),
        MeasuredFeature("breadth, square to the length", figures.breadth_mm),
    ]
    features += [MeasuredFeature(*bore) for bore in _bores(drawing)]
    if figures.pocket_radius_mm is not None:
        count = "pocket" if figures.pockets == 1 else f"{figures.pockets} pockets"
        features.append(MeasuredFeature(f"{count}: radius", figures.pocket_radius_mm))
    holes = hole_pattern(drawing).holes
    letters = [chr(ord("A") + index) if len(holes) <= 26 else str(index + 1) for index in range(len(holes))]
    for letter, hole in zip(letters, holes, strict=True):
        kind = "width of the slot" if hole.is_slot else "diameter"
        features.append(MeasuredFeature(f"hole {letter}: {kind}", hole.width_mm))
        if hole.is_slot:
            features.append(MeasuredFeature(f"hole {letter}: length of the slot", hole.length_mm))
    if len(holes) <= MOST_HOLES:
        features += [
            MeasuredFeature(f"hole {letters[a]} to hole {letters[b]}, middle to middle", abs(holes[a].at - holes[b].at))
            for a, b in _spans(len(holes))
        ]
    return Inspected(
        tuple(features),
        tuple((letter, (hole.at.real, hole.at.imag)) for letter, hole in zip(letters, holes, strict=True)),
    )


def _spans(count: int) -> list[tuple[int, int]]:
    """Pairs that fix a pattern: every pair of up to four holes, else each to the first two."""
    every = list(combinations(range(count), 2))
    return every if count <= 4 else [pair for pair in every if pair[0] < 2]


def _bores(drawing: Drawing) -> list[tuple[str, float]]:
    """A whole bore by its diameter; of a segment the hollow arc about the axis of the wheel by its radius."""
    # A small round hole about the axis stands among the mounting holes.
    whole = [
        hole.diameter_mm
        for hole in holes_of(drawing)
        if hole.interface == "hub bore" and hole.diameter_mm is not None and hole.diameter_mm > WIDEST_MM
    ]
    if whole:
        return [("bore: diameter", diameter) for diameter in whole]
    axis = axis_of(drawing)
    if axis is None:
        return []
    arcs = [arc for part in drawing.material.geoms for arc in outline_arcs(part.exterior)]
    hollow = [arc.radius_mm for arc in arcs if not arc.convex and arc.about(axis.at)]
    return [("bore: radius about the axis", min(hollow))] if hollow and drawing.hubs else []
