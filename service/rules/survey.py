"""What surveys of a machine say: whether one agrees with itself, and whether a kit was made for what is there now."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from service.findings import Finding

SELF_AGREEMENT_MM = 0.5
"""How far a pitch diameter may lie from pockets × pitch ÷ π; common practice, no source."""

SAME_WITHIN_MM = 0.1
"""Two measurements that differ by no more are of the same thing; common practice, no source."""

DECK_HEIGHT = "deck_height_mm "
"""What the name of a deck's height begins with; the deck's letter follows."""

WORDS: Mapping[str, str] = {
    "rotation": "rotation",
    "infeed_hand": "infeed hand",
    "pitch_mm": "pitch",
    "pocket_count": "pocket count",
    "pitch_diameter_mm": "pitch diameter",
}


@dataclass(frozen=True, slots=True)
class Dimension:
    """One thing that a survey states.

    Attributes:
        name: ``rotation``, ``infeed_hand``, ``pitch_mm``, ``pocket_count``, ``pitch_diameter_mm`` or
            ``deck_height_mm`` and the deck's letter.
        value: a length in mm, a count, or a word.
        grade: ``measured``, ``from_drawing`` or ``copied_from_part``.
    """

    name: str
    value: float | str
    grade: str

    @property
    def shown(self) -> str:
        """The value as a person reads it, with its unit."""
        if isinstance(self.value, str):
            return self.value
        return f"{self.value:g} mm" if "_mm" in self.name else f"{self.value:g}"


@dataclass(frozen=True, slots=True)
class Survey:
    """A survey as a revision of what is known about a machine.

    Attributes:
        ordinal: which one of the machine's it is, in the order in which they came on record.
        surveyed_at: when it was made, ISO 8601.
        newest_kit: the newest kit of the shop when it came on record; kits count up in order of issue, 0 is none.
        dimensions: what it states.
    """

    ordinal: int
    surveyed_at: str
    newest_kit: int
    dimensions: tuple[Dimension, ...]


def pitch_diameter_mm(pocket_count: float, pitch_mm: float) -> float:
    """The diameter of the circle on which pockets stand a pitch apart, the pitch measured along that circle.

    Geometry: the circumference π·d holds every pitch once.
    """
    return pocket_count * pitch_mm / math.pi


def disagreements(dimensions: Iterable[Dimension]) -> tuple[Finding, ...]:
    """What a survey says that cannot all be true."""
    said = {dimension.name: dimension.value for dimension in dimensions}
    pockets, pitch, diameter = (said.get(name) for name in ("pocket_count", "pitch_mm", "pitch_diameter_mm"))
    if not (isinstance(pockets, float) and isinstance(pitch, float) and isinstance(diameter, float)):
        return ()
    follows = pitch_diameter_mm(pockets, pitch)
    if abs(follows - diameter) <= SELF_AGREEMENT_MM:
        return ()
    return (
        Finding(
            rule="survey_disagrees",
            level="warning",
            message=(
                f"{pockets:g} pockets at a pitch of {pitch:g} mm give a pitch diameter of {follows:.2f} mm, "
                f"{abs(follows - diameter):.2f} mm from this one"
            ),
            field="pitch_diameter_mm",
            value=f"{diameter:g}",
            todo="Count the pockets and measure again; take the pitch along the pitch circle, not straight across",
            place="pitch_diameter_mm",
            source=f"geometry: pitch diameter = pockets × pitch ÷ π, within {SELF_AGREEMENT_MM:g} mm",
        ),
    )


def known(surveys: Iterable[Survey]) -> dict[str, Dimension]:
    """What is known of each dimension: the newest survey that states it counts, of two on one day the later record."""
    found: dict[str, Dimension] = {}
    for survey in sorted(surveys, key=lambda survey: (survey.surveyed_at, survey.ordinal)):
        found.update({dimension.name: dimension for dimension in survey.dimensions})
    return found


def check_before_reuse(
    surveys: Collection[Survey], *, kit: int, checked: int, rotation: str | None, decks: Collection[str]
) -> tuple[str, ...]:
    """Why a kit must be held against the machine before it is used again; empty when nothing speaks for it.

    A kit was made by what was on record when it was issued, and was held against every survey up to the one that
    somebody checked it with. A survey that came on record later and states something else, or something that was not
    known, is a reason; one that only confirms is none. The height of a deck counts where the kit has a segment.

    Args:
        surveys: those of the machine.
        kit: which one of the shop's kits it is, in order of issue.
        checked: the ordinal of the newest survey that the kit was checked with, 0 for none.
        rotation: the machine's on record, which counts as known before any survey.
        decks: the decks on which the kit has segments.
    """
    old = [survey for survey in surveys if survey.newest_kit < kit or survey.ordinal <= checked]
    if len(old) == len(surveys):
        return ()
    before, now = known(old), known(surveys)
    if rotation is not None:
        before.setdefault("rotation", Dimension("rotation", rotation, ""))
    reasons = []
    for dimension in in_order(now.values()):
        name = dimension.name
        if name.startswith(DECK_HEIGHT) and name.removeprefix(DECK_HEIGHT) not in decks:
            continue
        was = before.get(name)
        if was is None:
            reasons.append(f"{worded(name)} is {dimension.shown}, which was not known when the kit was issued")
        elif not _same(was.value, dimension.value):
            reasons.append(f"{worded(name)} is {dimension.shown} now, {was.shown} when the kit was issued")
    return tuple(reasons)


def turns_otherwise(dimensions: Iterable[Dimension], rotation: str | None) -> tuple[Finding, ...]:
    """What a survey says against the rotation that marks of the machine show; None is no rotation on record."""
    return tuple(
        Finding(
            rule="rotation_differs",
            level="warning",
            message=f"the machine is on record as turning {rotation}, and its marks say so",
            field="rotation",
            value=str(dimension.value),
            todo="Look from above once more; if it does turn so, correct the machine before another mark is made",
            place="rotation",
            source="the shop's own records",
        )
        for dimension in dimensions
        if dimension.name == "rotation" and rotation is not None and dimension.value != rotation
    )


def in_order(dimensions: Iterable[Dimension]) -> tuple[Dimension, ...]:
    """Dimensions as a survey form asks for them, decks last."""
    names = list(WORDS)
    return tuple(
        sorted(dimensions, key=lambda one: (names.index(one.name) if one.name in WORDS else len(names), one.name))
    )


def worded(name: str) -> str:
    """A dimension's name in words."""
    if name.startswith(DECK_HEIGHT):
        return f"height of deck {name.removeprefix(DECK_HEIGHT)}"
    return WORDS.get(name, name)


def _same(one: float | str, other: float | str) -> bool:
    if isinstance(one, str) or isinstance(other, str):
        return one == other
    return abs(one - other) <= SAME_WITHIN_MM
