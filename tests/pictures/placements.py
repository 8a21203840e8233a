"""Ten engravings of the demonstration at their places, swept by the cutter, as one picture for the documents.

Run with ``python -m tests.pictures.placements``; it writes ``docs/pictures/placements.png``.
"""

from __future__ import annotations

import io
import math
from pathlib import Path
from textwrap import fill

import matplotlib as mpl

mpl.use("Agg")

import matplotlib.pyplot as plt
import numpy as np
import shapely
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from PIL import Image
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from service.marks.placed import PlacedEngraving, place_engraving
from service.marks.sweep import sweep, swept
from service.render.engraving_svg import (
    FREE,
    GROOVE,
    JOINT,
    MARK_LINE,
    NEIGHBOUR_FILL,
    NEIGHBOUR_LINE,
    PLAIN,
    REVISION,
    SHADE,
    WORKING,
)
from tests.outlines.assembly import face_in_kit

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "placements.png"
CELLS: tuple[tuple[str, str, str | None], ...] = (
    ("SW2-U3", "star quarter, engraving zone", None),
    ("SW3-L2", "star quarter under the deck above", None),
    ("SW1-L2", "half a star", None),
    ("CG1-U1", "centre guide, lower half", None),
    ("CG2-U1", "centre guide", None),
    ("OR1-U1", "outer guide", "RIGHT"),
    ("NG1-K2", "neck guide", "LEFT"),
    ("OR1-U3", "lead-in, read along the part", "LEFT"),
    ("TS1-X2", "bearing plate", None),
    ("BP1-X1", "bottle plate", None),
)


def draw() -> None:
    """Write the picture."""
    figure, axes = plt.subplots(2, 5, figsize=(20, 9.2), dpi=100)
    for at, (place, words, hand) in zip(axes.flat, CELLS, strict=True):
        face = face_in_kit(place)
        placed = place_engraving(
            face,
            number=f"OSV4-FC1-A500-{place}-{42 if place == 'SW2-U3' else 57}",
            key="K7M4XRAW",
            hand=hand,
            revision="B",
            material="UHMW-PE",
        )
        _cell(at, placed, f"{place}  {words}")
    handles: list[Artist] = [
        mpl.lines.Line2D([], [], color=colour, lw=2.2, label=label)
        for colour, label in (
            (JOINT, "joint 8 mm"),
            (WORKING, "pocket, guiding or unknown edge 10 mm"),
            (PLAIN, "plain edge 5 mm"),
        )
    ]
    handles += [
        mpl.patches.Patch(facecolor="none", edgecolor=FREE, hatch="////", label="free"),
        mpl.patches.Patch(facecolor=SHADE, alpha=0.3, label="under the deck above"),
        mpl.patches.Patch(facecolor=GROOVE, label="grooves of a 0.5 mm cutter"),
        mpl.patches.Patch(facecolor=REVISION, label="revision, only with this profile"),
    ]
    figure.legend(handles=handles, loc="lower center", ncols=7, frameon=False, fontsize=10.5)
    figure.subplots_adjust(left=0.01, right=0.99, top=0.93, bottom=0.07, wspace=0.05, hspace=0.24)
    drawn = io.BytesIO()
    figure.savefig(drawn)
    plt.close(figure)
    Image.open(drawn).convert("RGB").quantize(255, dither=Image.Dither.NONE).save(TARGET, optimize=True)


def _cell(at: Axes, placed: PlacedEngraving, title: str) -> None:
    face = placed.face
    drawing = face.drawing
    left, bottom, right, top = drawing.bounds_mm
    for neighbour in face.neighbours:
        _fill(at, neighbour.material, facecolor=NEIGHBOUR_FILL, edgecolor=NEIGHBOUR_LINE, lw=0.6)
    _fill(at, drawing.material, facecolor="white", edgecolor="#33433f", lw=0.5)
    _fill(at, face.shadow, facecolor=SHADE, alpha=0.3, lw=0)
    _fill(
        at,
        face.free(placed.margins, seen=placed.seen),
        facecolor="none",
        edgecolor=FREE,
        lw=0.5,
        hatch="////",
        alpha=0.5,
    )
    for shape, style in (
        *((hub, (0, (6, 2, 1, 2))) for hub in drawing.hubs),
        *((keepout.intersection(drawing.material), (0, (3, 2))) for keepout in drawing.keepouts),
    ):
        _fill(at, shape, facecolor="none", edgecolor="#33433f", lw=0.5, ls=style)
    for edge, colour in ((face.plain, PLAIN), (face.working, WORKING), (face.joints, JOINT)):
        for run in getattr(edge, "geoms", [edge]):
            if not run.is_empty:
                at.plot(*np.asarray(run.coords).T[:2], color=colour, lw=1.3, solid_capstyle="round")
    for groove in sweep(placed.engraving).grooves:
        _fill(at, groove, facecolor=GROOVE, lw=0)
    if placed.revision is not None:
        _fill(at, swept(placed.revision.strokes, placed.engraving.cutter.groove_mm), facecolor=REVISION, lw=0)
    _aim(at, placed, max(right - left, top - bottom))
    border = 0.05 * max(right - left, top - bottom)
    at.set_xlim(left - border, right + border)
    at.set_ylim(bottom - border, top + border)
    at.set_aspect("equal")
    at.axis("off")
    text = placed.engraving
    words = fill(f"{text.cap_height_mm:g} mm, {placed.place_words}", 46)
    at.set_title(f"{title}\n{words}", fontsize=9.2, linespacing=1.35)


def _aim(at: Axes, placed: PlacedEngraving, size: float) -> None:
    """An arrow from the text to the axis, or up where none is known."""
    x, y = placed.block.centre
    axis = placed.face.axis
    aim = math.pi / 2 if axis is None else math.atan2(axis.at[1] - y, axis.at[0] - x)
    begin = placed.block.height_mm / 2 + 0.02 * size
    start = (x + begin * math.cos(aim), y + begin * math.sin(aim))
    end = (x + (begin + 0.1 * size) * math.cos(aim), y + (begin + 0.1 * size) * math.sin(aim))
    at.annotate(
        "", end, start, arrowprops={"arrowstyle": "-|>", "color": MARK_LINE, "lw": 1.1, "shrinkA": 0, "shrinkB": 0}
    )


def _fill(at: Axes, shape: BaseGeometry, **style: object) -> None:
    for part in shapely.get_parts(shape):
        if not isinstance(part, Polygon) or part.is_empty:
            continue
        rings = [np.asarray(ring.coords)[:, :2] for ring in (part.exterior, *part.interiors)]
        codes = [[Outline.MOVETO, *[Outline.LINETO] * (len(ring) - 2), Outline.CLOSEPOLY] for ring in rings]
        at.add_patch(PathPatch(Outline(np.concatenate(rings), np.concatenate(codes)), **style))


if __name__ == "__main__":
    draw()
