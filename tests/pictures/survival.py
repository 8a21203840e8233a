"""``python -m tests.pictures.survival``: how long marks survive, and what the damages look like.

Writes ``docs/pictures/survival_bare.svg`` (few large symbols against many small ones),
``docs/pictures/survival_templates.svg`` (the shipped templates, each symbol alone and all merged) and
``docs/pictures/damages.png`` (one damage of each kind); arguments pick some of them: ``bare templates damages``. Takes
some minutes, and prints the figures as it goes.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter
from PIL import Image, ImageDraw, ImageFont

from service.render.damages import DAMAGES
from service.render.fonts import FONT_FILES
from service.render.survival import as_printed, whole_plate
from tests.mark_factory import TEMPLATE_NAMES, make_layout
from tests.survival_curves import Point, bare_curve, dark_lines, lost, shipped_curve
from tests.survival_factory import FOUR_MATRICES, ONE_MATRIX, ONE_QR, TWO_MATRICES, Bare

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "pictures"
SHARES = (0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.65, 0.7, 0.8, 0.9)
COUNTS = (1.0, 2.0, 3.0, 6.0, 9.0, 12.0, 18.0, 24.0)
PLATES = range(100)
MERGED_PLATES = range(60)

INK, SOFT, SEA, AMBER, RED = "#16302e", "#76827d", "#0e7c83", "#c77700", "#9c1f17"
BARE: tuple[tuple[str, Sequence[Bare], str, str, bool], ...] = (
    ("one QR Code H, 24 mm: four times the ink", ONE_QR, SOFT, "v", False),
    ("one Data Matrix, 12 mm", ONE_MATRIX, RED, "s", False),
    ("two Data Matrix, 8.5 mm", TWO_MATRICES, AMBER, "D", False),
    ("four Data Matrix, 6 mm, in the corners", FOUR_MATRICES, SEA, "o", False),
    ("the same four, merged", FOUR_MATRICES, INK, "*", True),
)
SHOWN = (
    "loss-50-2", "loss-65-1", "loss-65-6", "scratches-6-0", "scratches-12-1", "blur-0.5", "faded-20", "veil-20",
    "tilt-right-6", "print-gain", "print-dead-2.5-1", "light-25", "gloss-8-1", "stain-2-101",
)  # fmt: skip


def main(chosen: Sequence[str]) -> int:
    """Measure, draw and save what is chosen, everything by default; 1 if a damaged plate reads as another piece."""
    mpl.rcParams.update(
        {"font.family": "DejaVu Sans", "font.size": 9, "svg.hashsalt": "kitwright", "svg.fonttype": "none"}
    )
    wrong = sum(draw() for name, draw in PICTURES.items() if not chosen or name in chosen)
    print(f"texts that would be taken for another piece: {wrong}")
    return int(wrong > 0)


def _bare() -> int:
    figure, (left, right) = _two_axes("Few large symbols against many small ones, on a bare plate of 60 × 40 mm", 4.9)
    wrong = 0
    for name, plate, colour, marker, merge in BARE:
        seeds = MERGED_PLATES if merge else PLATES
        for axes, strong, strengths in ((left, lost, SHARES), (right, dark_lines, COUNTS)):
            points = bare_curve(plate, strong, strengths, seeds=seeds, merge=merge)
            wrong += _said(name, points)
            _line(axes, points, name, colour, marker, _merged if merge else _single)
    figure.legend(*left.get_legend_handles_labels(), loc="outside lower center", ncols=3, frameon=False)
    _saved(figure, "survival_bare.svg")
    return wrong


def _templates() -> int:
    figure, (left, right) = _two_axes("Shipped templates, printed at 203 dpi", 5.2)
    colours = mpl.colormaps["tab10"].colors  # type: ignore[attr-defined]  # a listed map
    wrong = 0
    for index, name in enumerate(TEMPLATE_NAMES):
        for axes, strong, strengths in ((left, lost, SHARES), (right, dark_lines, COUNTS)):
            points = shipped_curve(name, strong, strengths, seeds=MERGED_PLATES)
            wrong += _said(name, points)
            colour, marker = colours[index], "osD^v<>P"[index % 8]
            _line(axes, points, name, colour, marker, _merged)
            _line(axes, points, None, colour, marker, _single, dashed=True)
    left.plot([], [], color=INK, linewidth=1.6, label="solid: all symbols merged")
    left.plot([], [], color=INK, linestyle=(0, (2, 2)), linewidth=1, label="dashed: a single symbol alone")
    figure.legend(*left.get_legend_handles_labels(), loc="outside lower center", ncols=5, frameon=False)
    _saved(figure, "survival_templates.svg")
    return wrong


def _single(point: Point) -> float:
    return point.single


def _merged(point: Point) -> float:
    assert point.merged is not None
    return point.merged


def _two_axes(title: str, height: float) -> tuple[Figure, tuple[Axes, Axes]]:
    figure = Figure(figsize=(10.4, height), facecolor="white", layout="constrained")
    figure.suptitle(title, fontsize=11, color=INK)
    left, right = figure.subplots(1, 2, sharey=True)
    left.set_xlabel("share of the plate that is lost in one piece")
    left.xaxis.set_major_formatter(PercentFormatter(1.0))
    right.set_xlabel("dark scratches of 0.5 mm right across the plate")
    left.set_ylabel("plates that still name their piece")
    for axes in (left, right):
        axes.yaxis.set_major_formatter(PercentFormatter(1.0))
        axes.set_ylim(-0.02, 1.03)
        axes.grid(color="#dfe4df", linewidth=0.7)
        axes.spines[["top", "right"]].set_visible(False)
    return figure, (left, right)


def _line(
    axes: Axes,
    points: Sequence[Point],
    name: str | None,
    colour: str | tuple[float, float, float],
    marker: str,
    share: Callable[[Point], float],
    *,
    dashed: bool = False,
) -> None:
    axes.plot(
        [point.strength for point in points],
        [share(point) for point in points],
        color=colour,
        marker=None if dashed else marker,
        markersize=5,
        linewidth=1 if dashed else 1.6,
        linestyle=(0, (2, 2)) if dashed else "solid",
        label=name,
    )


def _said(name: str, points: Sequence[Point]) -> int:
    figures = "  ".join(
        f"{point.strength:g}: {point.single:.0%}" + ("" if point.merged is None else f" ({point.merged:.0%})")
        for point in points
    )
    print(f"{name}: {figures}", flush=True)
    return sum(point.wrong for point in points)


def _saved(figure: Figure, name: str) -> None:
    figure.savefig(FOLDER / name, metadata={"Date": None} if name.endswith(".svg") else None)


def _damages() -> int:
    _contact_sheet().save(FOLDER / "damages.png", optimize=True)
    return 0


def _contact_sheet() -> Image.Image:
    """A nameplate after one damage of each kind, each with what happened to it."""
    layout = make_layout("nameplate-60x22", dpi=203)
    grey = as_printed(layout)
    window = whole_plate(grey, layout)
    chosen = [next(damage for damage in DAMAGES if damage.name == name) for name in SHOWN]
    columns, gap, caption = 3, 26, 44
    width, height = layout.width_dots, layout.height_dots
    rows = -(-(len(chosen) + 1) // columns)
    sheet = Image.new("L", (columns * (width + gap) + gap, rows * (height + gap + caption) + gap), 214)
    draw = ImageDraw.Draw(sheet)
    font = ImageFont.truetype(str(FONT_FILES["regular"]), 21)
    pictures: list[tuple[str, np.ndarray]] = [("as it is printed", grey)]
    pictures += [(damage.sentence, damage.on(window)) for damage in chosen]
    for index, (sentence, picture) in enumerate(pictures):
        left = gap + index % columns * (width + gap)
        top = gap + index // columns * (height + gap + caption)
        sheet.paste(Image.fromarray(picture), (left, top))
        for line, words in enumerate(_broken(sentence, font, width)):
            draw.text((left, top + height + 4 + 21 * line), words, font=font, fill=20)
    return sheet


def _broken(sentence: str, font: ImageFont.FreeTypeFont, width: int) -> list[str]:
    lines = [""]
    for word in sentence.split():
        longer = f"{lines[-1]} {word}".strip()
        if font.getlength(longer) > width and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


PICTURES: dict[str, Callable[[], int]] = {"damages": _damages, "bare": _bare, "templates": _templates}

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
