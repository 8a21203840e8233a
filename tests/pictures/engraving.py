"""``python -m tests.pictures.engraving``: every letter swept by three cutters, what the lint finds marked.

Writes ``docs/pictures/engraving_glyphs.png``.
"""

from __future__ import annotations

import sys
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch, Rectangle
from matplotlib.path import Path as Outline
from shapely import Polygon, get_parts
from shapely.geometry.base import BaseGeometry

from service.marks.cutters import Cutter
from service.marks.engraving_lint import lint_letters
from service.marks.strokes import CHARACTERS, Letter, glyph
from service.marks.sweep import depth_at_mm, swept_glyph
from service.rules.engravable import ENGRAVABLE

TARGET = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "engraving_glyphs.png"
CAP_HEIGHT_MM = 3.5
MATERIAL = ENGRAVABLE["UHMW-PE"]
CUTTERS = (
    Cutter(kind="flat", diameter_mm=0.5, depth_mm=0.4),
    Cutter(kind="ball", diameter_mm=0.8, depth_mm=0.25),
    Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.6, angle_deg=90.0, tip_mm=0.05),
)
COLUMNS = 15

GROOVE = "#33433f"
PLASTIC = "#f4f1e6"
STANDS = "#f4f1e6"
SMALL = "#f2a33a"
CLOSED = "#c8202f"
CENTRE_LINE = "#9fb3ad"


def main() -> int:
    """Draw the sheet and save it."""
    mpl.rcParams.update({"font.family": "DejaVu Sans", "font.size": 8})
    figure = Figure(figsize=(10.4, 9.6), facecolor="white")
    grid = figure.add_gridspec(
        len(CUTTERS),
        2,
        width_ratios=(1.5, 10),
        hspace=0.16,
        wspace=0.04,
        left=0.02,
        right=0.985,
        top=0.925,
        bottom=0.045,
    )
    for row, cutter in enumerate(CUTTERS):
        _section(figure.add_subplot(grid[row, 0]), cutter)
        _letters(figure.add_subplot(grid[row, 1]), cutter)
    figure.text(
        0.02,
        0.972,
        f"Letters of {CAP_HEIGHT_MM:g} mm in {MATERIAL.name}, swept by three cutters",
        fontsize=12,
        weight="bold",
    )
    figure.legend(
        handles=[
            Patch(facecolor=GROOVE, label="groove at the surface"),
            Line2D([], [], color=CENTRE_LINE, lw=1, label="centre line"),
            Patch(facecolor=STANDS, edgecolor=GROOVE, label="counter that stands"),
            Patch(facecolor=SMALL, edgecolor=GROOVE, label="counter that breaks out or fills with dirt"),
            Patch(facecolor="none", edgecolor=CLOSED, lw=1.6, label="counter closed or hole gained"),
        ],
        loc="lower center",
        ncols=5,
        frameon=False,
    )
    TARGET.parent.mkdir(parents=True, exist_ok=True)
    figure.savefig(TARGET, dpi=112, metadata={"Software": None})
    print(f"{TARGET}: {TARGET.stat().st_size} bytes")
    return 0


def _section(axes: Axes, cutter: Cutter) -> None:
    """The groove across: what the cutter takes out of the sheet."""
    aside = np.linspace(-1.0, 1.0, 801)
    floor = [-depth_at_mm(cutter, float(x)) for x in aside]
    axes.fill_between(aside, floor, -1.0, color="#d9d4c2", lw=0)
    axes.plot(aside, floor, color=GROOVE, lw=1.2)
    half = cutter.groove_mm / 2
    axes.annotate(
        "",
        (-half, 0.16),
        (half, 0.16),
        arrowprops={"arrowstyle": "<->", "lw": 0.8, "color": GROOVE, "shrinkA": 0, "shrinkB": 0},
    )
    axes.text(0, 0.22, f"{cutter.groove_mm:.2f} mm", ha="center", va="bottom")
    axes.text(0, -1.12, "section of the groove", ha="center", va="top", color="#5c6b67")
    axes.set(xlim=(-1.02, 1.02), ylim=(-1.3, 0.6), aspect="equal")
    axes.axis("off")


def _letters(axes: Axes, cutter: Cutter) -> None:
    """All letters in three rows, each with what the lint finds."""
    ratio = cutter.groove_mm / CAP_HEIGHT_MM
    named: dict[str, set[str]] = {}
    for char in CHARACTERS:
        for finding in lint_letters([Letter(char, 0.0, 0.0)], CAP_HEIGHT_MM, cutter, MATERIAL):
            named.setdefault(finding.rule, set()).add(char)
    for index, char in enumerate(CHARACTERS):
        column, line = index % COLUMNS, index // COLUMNS
        x, y = column * 1.42 + (1.0 - glyph(char).width) / 2, -line * 2.0
        small = char in named.get("counter_small", set())
        _letter(axes, char, ratio, (x, y), small=small)
        if char in named.get("counter_closed", set()) | named.get("hole_gained", set()):
            axes.add_patch(
                Rectangle((column * 1.42 - 0.16, y - 0.42), 1.32, 1.84, fill=False, edgecolor=CLOSED, lw=1.6)
            )
    words = "; ".join(f"{rule}: {' '.join(sorted(chars))}" for rule, chars in sorted(named.items())) or "no finding"
    axes.set_title(f"{cutter.words}: groove {ratio:.3f} of the height. {words}", loc="left", fontsize=9)
    axes.set(xlim=(-0.4, COLUMNS * 1.42), ylim=(-4.0 - 0.6, 1.6), aspect="equal", facecolor=PLASTIC)
    axes.set_xticks([])
    axes.set_yticks([])
    for spine in axes.spines.values():
        spine.set_color("#c9c3ae")


def _letter(axes: Axes, char: str, ratio: float, place: tuple[float, float], *, small: bool) -> None:
    drawn = swept_glyph(char, ratio)
    axes.add_patch(PathPatch(_outline(drawn.groove, place), facecolor=GROOVE, lw=0))
    if small:
        for counter in drawn.counters:
            axes.add_patch(PathPatch(_outline(counter.island, place), facecolor=SMALL, lw=0))
    for stroke in glyph(char).strokes:
        points = np.array(stroke) + place
        axes.plot(points[:, 0], points[:, 1], color=CENTRE_LINE, lw=0.6, solid_capstyle="round")


def _outline(shape: BaseGeometry, place: tuple[float, float]) -> Outline:
    rings = [
        ring for part in get_parts(shape) if isinstance(part, Polygon) for ring in (part.exterior, *part.interiors)
    ]
    return Outline.make_compound_path(*(Outline(np.asarray(ring.coords) + place, closed=True) for ring in rings))


if __name__ == "__main__":
    sys.exit(main())
