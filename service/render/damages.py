"""A fixed set of damages: what caustic, scratches, fog, worn print heads and hasty hands do to a mark, always the same.

A damage is worked out in millimetres of the plate and can be put on a window of it alone, so a large mark costs no
more than its symbols. Nothing depends on the platform: all chance comes from the raw stream of a PCG64 generator, which
NumPy keeps stable between versions, and all arithmetic is plain NumPy. How strong each damage is: common practice, no
source.

Damages of one family and seed grow: what a stronger one covers holds what the weaker one covered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from service.marks.survival import Family
from service.render import damage_optics as optics
from service.render import damage_shapes as shapes
from service.render.damage_window import Window

Grey = NDArray[np.uint8]
LOST_SHARES = (0.20, 0.35, 0.50, 0.65)
SCRATCHES = (3, 6, 12)
SCRATCH_MM = 0.5
LOSS_SEEDS = range(8)
SCRATCH_SEEDS = range(8)

#: A worn part shows the pale stock, a blot is nearly black.
_PALE, _DARK = 240, 25


@dataclass(frozen=True, slots=True)
class Damage:
    """One damage.

    Attributes:
        name: unique and stable, ``loss-50-3``.
        family: what kind it is.
        sentence: what happens to the plate.
        severity: 1 for the mildest of its family; those of one family, severity and seed are comparable.
        seed: what its chance starts from.
        act: the damage itself: a window of the plate in, the same window damaged out.
    """

    name: str
    family: Family
    sentence: str
    severity: int
    seed: int
    act: Callable[[Window], Grey]

    def on(self, window: Window) -> Grey:
        """The window after this damage."""
        return self.act(window)


def loss(share: float, seed: int, *, severity: int = 1) -> Damage:
    """A part of the plate, in one piece, is worn pale (even seeds) or blotted dark (odd ones)."""
    dark = seed % 2 == 1
    return Damage(
        name=f"loss-{round(share * 100)}-{seed}",
        family="loss",
        sentence=f"{share * 100:.0f} % of the plate, in one piece, is {'blotted dark' if dark else 'worn pale'}",
        severity=severity,
        seed=seed,
        act=partial(_lost, share=share, seed=seed, level=_DARK if dark else _PALE),
    )


def scratches(count: int, seed: int, *, severity: int = 1, dark: bool | None = None) -> Damage:
    """Straight scratches right across the plate, dark (even seeds, or as said) or pale ones."""
    black = seed % 2 == 0 if dark is None else dark
    return Damage(
        name=f"scratches-{count}-{seed}",
        family="scratches",
        sentence=f"{count} {'dark' if black else 'pale'} scratches of {SCRATCH_MM:g} mm run right across the plate",
        severity=severity,
        seed=seed,
        act=partial(_scratched, count=count, seed=seed, level=_DARK if black else _PALE),
    )


def _lost(window: Window, *, share: float, seed: int, level: int) -> Grey:
    return np.where(shapes.blob(window, share=share, seed=seed), np.uint8(level), window.grey)


def _scratched(window: Window, *, count: int, seed: int, level: int) -> Grey:
    return np.where(shapes.lines(window, count=count, width_mm=SCRATCH_MM, seed=seed), np.uint8(level), window.grey)


def _stained(window: Window, *, share: float, seed: int, clearness: float) -> Grey:
    under = shapes.blob(window, share=share, seed=seed)
    return np.where(under, (window.grey * clearness).astype(np.uint8), window.grey)


def _covered() -> Iterator[Damage]:
    """Losses, scratches."""
    for severity, share in enumerate(LOST_SHARES, 1):
        for seed in LOSS_SEEDS:
            yield loss(share, seed, severity=severity)
    for severity, count in enumerate(SCRATCHES, 1):
        for seed in SCRATCH_SEEDS:
            yield scratches(count, seed, severity=severity)


def _seen() -> Iterator[Damage]:
    """What a reader sees: blur, fog, slant."""
    for severity, modules in enumerate((0.3, 0.5, 0.7), 1):
        yield Damage(
            f"blur-{modules:g}",
            "blur",
            f"it is seen out of focus: blurred with a deviation of {modules:g} modules",
            severity,
            0,
            partial(optics.blurred, modules=modules),
        )
    for severity, contrast in enumerate((0.4, 0.2, 0.1), 1):
        yield Damage(
            f"faded-{round(contrast * 100)}",
            "fog",
            f"{contrast * 100:.0f} % of the contrast are left, round a middle grey, with grain",
            severity,
            severity,
            partial(optics.faded, contrast=contrast, towards=128, grain=3, seed=severity),
        )
        yield Damage(
            f"veil-{round(contrast * 100)}",
            "fog",
            f"a white veil leaves {contrast * 100:.0f} % of the contrast, with grain",
            severity,
            10 + severity,
            partial(optics.faded, contrast=contrast, towards=250, grain=3, seed=10 + severity),
        )
    for severity, (degrees, nearer) in enumerate(((3.0, 0.04), (6.0, 0.08), (12.0, 0.12)), 1):
        for way in (1, -1):
            yield Damage(
                f"tilt-{'right' if way > 0 else 'left'}-{degrees:g}",
                "tilt",
                f"it is held {degrees:g} degrees askew to the {'right' if way > 0 else 'left'}, one side "
                f"{nearer * 100:.0f} % nearer",
                severity,
                0,
                partial(optics.tilted, degrees=way * degrees, nearer=way * nearer),
            )


def _printed() -> Iterator[Damage]:
    """What a worn print head leaves."""
    yield Damage("print-plain", "print", "it is printed in black and white only", 1, 0, optics.one_bit)
    yield Damage("print-gain", "print", "every printed dot runs into its neighbour", 2, 0, optics.gained)
    yield Damage("print-thin", "print", "every printed edge falls one dot short", 2, 0, optics.thinned)
    for severity, apart_mm in enumerate((10.0, 5.0, 2.5), 1):
        for seed in (1, 2):
            yield Damage(
                f"print-dead-{apart_mm:g}-{seed}",
                "print",
                f"one dot line every {apart_mm:g} mm or so is not printed",
                severity,
                seed,
                partial(optics.dead_lines, apart_mm=apart_mm, seed=seed),
            )


def _lit_and_stained() -> Iterator[Damage]:
    """Light that is uneven, and stains."""
    for severity, darkest in enumerate((0.5, 0.25), 1):
        yield Damage(
            f"light-{round(darkest * 100)}",
            "light",
            f"light falls from one side: the far end has {darkest * 100:.0f} % of it",
            severity,
            0,
            partial(optics.shaded, darkest=darkest),
        )
    for severity, spot_mm in enumerate((4.0, 8.0, 12.0), 1):
        for seed in (1, 2):
            yield Damage(
                f"gloss-{spot_mm:g}-{seed}",
                "light",
                f"a gloss spot of {spot_mm:g} mm blinds the reader",
                severity,
                seed,
                partial(optics.glossy, spot_mm=spot_mm, seed=seed),
            )
    for severity, (share, clearness) in enumerate(((0.3, 0.6), (0.5, 0.4), (0.5, 0.25)), 1):
        for seed in (101, 102):
            yield Damage(
                f"stain-{severity}-{seed}",
                "stain",
                f"a stain over {share * 100:.0f} % of the plate lets {clearness * 100:.0f} % of the light through",
                severity,
                seed,
                partial(_stained, share=share, seed=seed, clearness=clearness),
            )


#: Every damage, in a fixed order; their names are unique.
DAMAGES: tuple[Damage, ...] = (*_covered(), *_seen(), *_printed(), *_lit_and_stained())

#: What every symbol of every single mark has to bear before it is handed out: the mildest that a print meets at once.
EVERY_MARK: tuple[Damage, ...] = tuple(damage for damage in DAMAGES if damage.name in ("blur-0.3", "print-gain"))
