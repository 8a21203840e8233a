"""What merging adds: plates read with and without it, by the share of the plate that is lost; and how often it errs.

``python -m tests.pictures.merge`` draws ``docs/pictures/merged-reading.svg``; ``--count 20000`` also counts wrong keys
over so many of the worst plates and prints what that shows.
"""

from __future__ import annotations

import argparse
from collections import Counter
from pathlib import Path
from random import Random

import numpy as np
import zxingcpp
from matplotlib import rc_context
from matplotlib.figure import Figure

from service.marks.items import Layout
from service.numbering.key import Key
from service.render.damage_window import Window
from service.render.damages import loss
from service.render.merge_modules import read_merged
from service.render.read_back import Grey
from tests.damaged_plates import damaged_plates, kinds, whole_plate

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "merged-reading.svg"
SHARES = (0.2, 0.35, 0.5, 0.65, 0.75, 0.85)
PLATES = 40
PIECES = 12


def in_pieces(layout: Layout, grey: Grey, share: float, seed: int) -> Grey:
    """A plate of which this share is lost in many blots and worn places, one beside the other."""
    window_of = (layout.width_mm, layout.height_mm), layout.per_mm, 0.375
    piece = 1 - (1 - share) ** (1 / PIECES)
    for index in range(PIECES):
        grey = loss(piece, 1000 * seed + index).on(Window(grey, 0, 0, *window_of))
    return grey


def decodes(grey: Grey, layout: Layout, key: str) -> bool:
    """Whether any single symbol decodes, looked at alone or on the whole plate."""
    crops = [grey]
    for symbol in layout.symbols():
        quiet = symbol.quiet_extent
        left, top, right, bottom = (
            round(edge * layout.per_mm) for edge in (quiet.left, quiet.top, quiet.right, quiet.bottom)
        )
        crops.append(np.ascontiguousarray(grey[max(top, 0) : bottom, max(left, 0) : right]))
    return any(key.encode() in bytes(code.bytes) for crop in crops for code in zxingcpp.read_barcodes(crop))


def curves(template: str) -> tuple[list[float], list[float], int]:
    """Shares of plates of which a single symbol decodes, and that are read merged; and how many were read wrong."""
    alone, merged, wrong = [], [], 0
    for share in SHARES:
        found: Counter[str] = Counter()
        for seed in range(PLATES):
            key = Key.random(Random(f"{share} {seed}")).symbols
            layout, grey = whole_plate(key, template=template)
            damaged = in_pieces(layout, grey, share, seed)
            reading = read_merged(damaged, layout)
            single = decodes(damaged, layout, key)
            found["alone"] += single
            found["merged"] += single or reading.key == key
            wrong += reading.key not in (None, key)
        alone.append(found["alone"] / PLATES)
        merged.append(found["merged"] / PLATES)
    return alone, merged, wrong


def draw(template: str = "nameplate-60x22") -> None:
    """The plot."""
    alone, merged, wrong = curves(template)
    print(f"share lost {SHARES}\nalone      {alone}\nmerged     {merged}\nwrong      {wrong}")
    with rc_context({"svg.hashsalt": "merge", "font.size": 11, "svg.fonttype": "path"}):
        figure = Figure(figsize=(7.2, 4.2), layout="constrained")
        axes = figure.subplots()
        x = [100 * share for share in SHARES]
        axes.plot(x, [100 * value for value in merged], "o-", color="#00636b", lw=2.5, label="all symbols together")
        axes.plot(x, [100 * value for value in alone], "s--", color="#b3541e", lw=2, label="any single symbol")
        axes.set(
            xlabel="lost of the plate, in many pieces (%)", ylabel="plates that give their key (%)", ylim=(-3, 103)
        )
        axes.set_title(f"{template}, {PLATES} plates a point, no wrong key" if not wrong else f"{wrong} wrong keys")
        axes.grid(alpha=0.3)
        axes.legend(frameon=False)
        figure.savefig(TARGET, metadata={"Date": None})


def count_wrong(count: int) -> None:
    """Read so many of the worst plates, and say how many keys were wrong."""
    tally: dict[str, Counter[str]] = {kind: Counter() for kind in kinds()}
    for plate in damaged_plates(range(count)):
        reading = read_merged(plate.grey, plate.layout)
        tally[plate.kind]["plates"] += 1
        tally[plate.kind]["read"] += reading.key is not None
        tally[plate.kind]["wrong"] += reading.key is not None and reading.key not in plate.keys
    for kind, figures in tally.items():
        print(f"{kind:22} {dict(figures)}")
    wrong = sum(figures["wrong"] for figures in tally.values())
    print(f"{wrong} wrong keys in {count} plates", end="")
    # No event in n trials: with 95 % confidence the rate is under 3/n (rule of three, Hanley and Lippman-Hand 1983).
    print(f"; with 95 % confidence fewer than one in {count // 3}" if not wrong else "")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=0)
    chosen = parser.parse_args()
    draw()
    if chosen.count:
        count_wrong(chosen.count)
