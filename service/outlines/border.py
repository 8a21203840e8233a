"""The border of a part as places at even distances, each with the direction in which the material ends."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.base import BaseGeometry

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Border:
    """Short stretches of a border, in its order; material lies on the left of each.

    Attributes:
        points: the middle of each stretch, in mm.
        starts: where it begins.
        ends: where it ends.
        normals: unit vectors away from the material.
        lengths: in mm.
        rings: which ring of the border each belongs to, counted from 0.
    """

    points: Array
    starts: Array
    ends: Array
    normals: Array
    lengths: Array
    rings: npt.NDArray[np.int64]


def sampled(shape: BaseGeometry, step_mm: float) -> Border:
    """The whole border of a shape in stretches no longer than a step."""
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon)]
    rings = [ring for part in parts for ring in _rings(part)]
    return sampled_rings(rings, step_mm)


def sampled_rings(rings: Iterable[LinearRing], step_mm: float) -> Border:
    """Rings in stretches no longer than a step; material lies on the left of each ring as it runs."""
    starts, ends, of = [], [], []
    for index, ring in enumerate(rings):
        points = shapely.get_coordinates(ring)
        begins, finishes = _parted(points, step_mm)
        starts.append(begins)
        ends.append(finishes)
        of.append(np.full(len(begins), index, dtype=np.int64))
    if not starts:
        nothing = np.zeros((0, 2))
        return Border(nothing, nothing, nothing, nothing, np.zeros(0), np.zeros(0, dtype=np.int64))
    start, end = np.vstack(starts), np.vstack(ends)
    run = end - start
    lengths = np.hypot(run[:, 0], run[:, 1])
    normals = np.stack([run[:, 1], -run[:, 0]], axis=1) / np.maximum(lengths, 1e-12)[:, None]
    return Border((start + end) / 2, start, end, normals, lengths, np.concatenate(of))


def _rings(part: Polygon) -> Iterable[LinearRing]:
    """Outside anticlockwise, holes clockwise."""
    turned = shapely.orient_polygons(part)
    assert isinstance(turned, Polygon)
    yield turned.exterior
    yield from turned.interiors


def _parted(points: Array, step_mm: float) -> tuple[Array, Array]:
    """Each edge of a ring in equal stretches no longer than the step."""
    run = np.diff(points, axis=0)
    lengths = np.hypot(run[:, 0], run[:, 1])
    kept = lengths > 1e-9
    first, run, lengths = points[:-1][kept], run[kept], lengths[kept]
    counts = np.maximum(1, np.ceil(lengths / step_mm).astype(np.int64))
    edge = np.repeat(np.arange(len(counts)), counts)
    nth = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (run / counts[:, None])[edge]
    starts = first[edge] + share * nth[:, None]
    return starts, starts + share
