"""The joints of a kit as its paper book tells them: both sides, what was built, and whether it locks."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

Levels = tuple[tuple[str, int], ...]
"""Joint revision by revision letter of a cut file, oldest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookJoint:
    """An interlocking edge as one of its two segments sees it.

    Attributes:
        number, place: the neighbour.
        form: form and clearance in words.
        here, there: joint revision by revision letter, of this segment's and of the neighbour's cut file.
        neighbour_built: what the neighbour's fitted pieces were cut from, in words.
    """

    number: str
    place: str
    form: str
    here: Levels
    there: Levels
    neighbour_built: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSide:
    """One of the two segments of a joint: its number and place, the joint revision in its letters, what was built."""

    number: str
    place: str
    levels: Levels
    built: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KitJoint:
    """An interlocking edge.

    Attributes:
        first, second: its sides, in the order of the machine.
        form: form and clearance in words.
        locks: whether the fitted pieces carry one joint revision, in words.
    """

    first: JointSide
    second: JointSide
    form: str
    locks: str


def form_words(form: str, clearance_mm: float | None, *, inferred: bool) -> str:
    """Form and clearance as one cell; ``inferred`` where nobody declared the joint and the outlines touch."""
    shown = form or ("as drawn, outlines touch" if inferred else "as drawn")
    return shown if clearance_mm is None else f"{shown}, {clearance_mm:.2f} mm a side"


def levels_words(levels: Levels) -> str:
    """Revision letters by the joint revision that they carry: ``0 in -, A; 1 in B``."""
    groups = [
        (level, ", ".join(letter for letter, _ in same)) for level, same in groupby(levels, key=lambda one: one[1])
    ]
    return "; ".join(f"{level} in {letters}" for level, letters in groups)
