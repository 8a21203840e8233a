"""Which sign is taken for which: the three ways in which marks come in, as heat maps.

``python -m tests.pictures.confusions`` draws ``docs/pictures/confusions.png``.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from matplotlib import rc_context
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LogNorm
from matplotlib.figure import Figure

from service.numbering.error_model import CameBy, error_model
from service.numbering.weights import SIGNS

TARGET = Path(__file__).parents[2] / "docs" / "pictures" / "confusions.png"
TITLES = {
    CameBy.EYE: "read off the part\n(damaged engraving, counted)",
    CameBy.EAR: "dictated\n(sounds of the names)",
    CameBy.KEYBOARD: "typed\n(places of the keys)",
}
LEAST, MOST = 0.0005, 0.5


def draw() -> None:
    """The picture."""
    with rc_context({"font.size": 11}):
        figure = Figure(figsize=(19, 7.4), layout="constrained")
        for axes, way in zip(figure.subplots(1, 3), CameBy, strict=True):
            model = error_model(way)
            shares = np.array(
                [
                    [math.exp(-model.substitution(read, true)) if read != true else 0.0 for read in SIGNS]
                    for true in SIGNS
                ]
            )
            axes.imshow(np.where(shares > LEAST, shares, np.nan), cmap="YlOrRd", norm=LogNorm(LEAST, MOST))
            axes.set_facecolor("#f4f4f2")
            axes.set_xticks(range(len(SIGNS)), SIGNS, fontsize=9)
            axes.set_yticks(range(len(SIGNS)), SIGNS, fontsize=9)
            axes.plot([-0.5, 35.5], [-0.5, 35.5], color="#bbbbbb", lw=0.8)
            axes.set(xlabel=f"{model.taken} as", title=TITLES[way])
            axes.tick_params(length=0)
            if way is CameBy.EYE:
                axes.set_ylabel("true sign")
        scale = ScalarMappable(LogNorm(LEAST, MOST), "YlOrRd")
        bar = figure.colorbar(scale, ax=figure.axes, shrink=0.8, pad=0.01)
        bar.set_ticks([0.001, 0.01, 0.1, 0.5], labels=["1 in 1000", "1 in 100", "1 in 10", "1 in 2"])
        figure.savefig(TARGET, dpi=75, metadata={"Software": ""})


if __name__ == "__main__":
    draw()
