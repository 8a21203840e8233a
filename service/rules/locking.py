"""Verdicts on what will lock, from the measured gap along each joint and from what else a revision changes.

Flat pieces are put together square to their plane, so nothing has to be threaded past anything: the gap along the joint
decides alone whether two pieces go together, and the play that it leaves decides whether they hold. What was fitted
together once is the measure: a new piece locks where it meets its neighbour as the old one did.

Tolerances (common practice, no source, where nothing else is said):

- edges no farther apart than 0.05 mm are the same edge, half the least gap of 0.1 mm that the trade leaves;
- an overlap up to 0.02 mm is the flattening of arcs, 0.01 mm on each side, and nothing that a file shows;
- with less than 0.05 mm of gap two pieces of polyethylene go together by force only, and the next warm day jams them;
- a gap may be 0.3 mm wider than the old one, but no wider than two sides of 0.3 mm, the most that the trade leaves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["exact", "fits", "fits_but_differs", "collides", "does_not_hold", "unknown"]
State = Literal["locks", "collides", "too_tight", "too_loose", "gone", "unknown"]

SAME_MM = 0.05
SPECK_MM = 0.02
LEAST_GAP_MM = 0.05
WIDER_MM = 0.3
WIDEST_GAP_MM = 0.6
LOOSER_MM = 1.0
"""More play than this beyond the old one is a joint that rattles: flanks that lean by a sixth turn 0.3 mm of gap into
about 1 mm of play."""
LOOSEST_MM = 2.0
"""The same where nobody knows what was fitted: two sides of 0.3 mm on flanks that lean by a third."""
SHORTER_SHARE = 0.8
"""A joint that runs beside its neighbour over less than this share of what it did lacks a lobe."""

TOLERANCES: tuple[str, ...] = (
    f"Edges that lie no farther apart than {SAME_MM:.2f} mm are the same edge.",
    f"Pieces that would lie over each other deeper than {SPECK_MM:.2f} mm collide.",
    f"A gap under {LEAST_GAP_MM:.2f} mm is too tight to be put together by hand.",
    f"A gap does not hold that is {WIDER_MM:.1f} mm wider than the old one and above {WIDEST_GAP_MM:.1f} mm.",
    f"Nor does a joint with {LOOSER_MM:.0f} mm more play, or with less than {SHORTER_SHARE:.0%} of its length left.",
    "Pieces are put together square to their plane; what decides is the gap, and nothing has to be threaded.",
)
"""The tolerances in words."""


@dataclass(frozen=True, slots=True)
class JointMeasure:
    """What was measured where two outlines meet, in mm and mm².

    Attributes:
        length_mm: of what faces each other.
        least_mm, median_mm, greatest_mm: of the gap, below zero where one lies in the other.
        play_mm: farthest shift that nothing stops; None where the piece can be drawn out in its plane.
        overlap_mm2: area on which they lie over each other.
        depth_mm: how deep.
        at: the deepest overlap, or else the narrowest gap.
        widest_at: where the gap is widest.
    """

    length_mm: float
    least_mm: float
    median_mm: float
    greatest_mm: float
    play_mm: float | None
    overlap_mm2: float
    depth_mm: float
    at: tuple[float, float]
    widest_at: tuple[float, float]


@dataclass(frozen=True, slots=True)
class JointState:
    """What the outlines say of one joint, and where to look."""

    state: State
    sentence: str
    at: tuple[float, float] | None = None

    @property
    def locks(self) -> bool | None:
        """Whether the two lock; None where the outlines cannot say."""
        return None if self.state == "unknown" else self.state == "locks"


@dataclass(frozen=True, slots=True)
class AtJoint:
    """One neighbour as the verdict sees it.

    Attributes:
        place: of the neighbour.
        known: whether it is on record what the neighbour was cut from.
        survives: whether it stays in the machine.
        state: what the outlines say.
    """

    place: str
    known: bool
    survives: bool
    state: JointState


def joint_state(new: JointMeasure | None, fitted: JointMeasure | None, *, drawn: bool = True) -> JointState:
    """Whether two pieces lock, held against the two that were fitted together.

    Args:
        new: where the new piece meets its neighbour; None where their outlines do not meet.
        fitted: the same of the pieces that were fitted; None where that is not known.
        drawn: whether both outlines are there at all.
    """
    if not drawn:
        return JointState("unknown", "there is no outline to compare")
    if new is None:
        if fitted is None:
            return JointState(
                "unknown", "the two outlines do not meet: they are not in the coordinates of one assembly"
            )
        return JointState("gone", "the new piece does not reach this neighbour any more", fitted.at)
    if fitted is not None and fitted.depth_mm > SPECK_MM:
        return JointState(
            "unknown",
            f"as drawn, even the pieces that were fitted lie over each other by {fitted.depth_mm:.2f} mm here: the "
            "files are not in the coordinates of one assembly, or the piece was reworked",
            fitted.at,
        )
    stopped = _in_the_way(new, fitted)
    if stopped is not None:
        return stopped
    loose = _loose(new, fitted)
    if loose is not None:
        return JointState("too_loose", loose, new.widest_at)
    if fitted is None and new.play_mm is None:
        return JointState(
            "unknown",
            "the edges run beside each other without hooking in, and nothing that was fitted tells how close",
            new.at,
        )
    return JointState("locks", _gap_words(new, fitted), new.at)


def _in_the_way(new: JointMeasure, fitted: JointMeasure | None) -> JointState | None:
    """Why the two do not go together; None where they do."""
    if new.depth_mm > SPECK_MM:
        return JointState(
            "collides",
            f"the pieces would lie over each other on {new.overlap_mm2:.1f} mm², {new.depth_mm:.2f} mm deep at "
            f"{_spot(new.at)}",
            new.at,
        )
    if new.least_mm < LEAST_GAP_MM and (fitted is None or new.least_mm < fitted.least_mm - SPECK_MM):
        return JointState(
            "too_tight",
            f"only {new.least_mm:.2f} mm of gap is left at {_spot(new.at)}, less than {LEAST_GAP_MM:.2f} mm",
            new.at,
        )
    return None


def _apart(fitted: JointMeasure | None) -> JointState:
    if fitted is None:
        return JointState("unknown", "the two outlines do not meet: they are not in the coordinates of one assembly")
    return JointState("gone", "the new piece does not reach this neighbour any more", fitted.at)


def _loose(new: JointMeasure, fitted: JointMeasure | None) -> str | None:
    """Why the joint would not hold; None where it does."""
    if fitted is None:
        if new.median_mm > WIDEST_GAP_MM:
            return f"the gap is {new.median_mm:.2f} mm over half of the joint, more than {WIDEST_GAP_MM:.1f} mm"
        if new.play_mm is not None and new.play_mm > LOOSEST_MM:
            return f"the piece can be shifted by {new.play_mm:.1f} mm in the joint, more than {LOOSEST_MM:.0f} mm"
        return None
    if new.length_mm < SHORTER_SHARE * fitted.length_mm:
        return (
            f"only {new.length_mm:.0f} mm of the edge meet this neighbour, where {fitted.length_mm:.0f} mm did: "
            "something of the joint is missing"
        )
    if fitted.play_mm is not None:
        if new.play_mm is None:
            return "nothing hooks in any more: the piece can be drawn out in its plane"
        if new.play_mm > fitted.play_mm + LOOSER_MM:
            return (
                f"the piece can be shifted by {new.play_mm:.1f} mm in the joint, where {fitted.play_mm:.1f} mm was free"
            )
    if new.median_mm > max(WIDEST_GAP_MM, fitted.median_mm + WIDER_MM):
        return f"the gap is {new.median_mm:.2f} mm over half of the joint, where {fitted.median_mm:.2f} mm was"
    return None


def same_fit(new: JointMeasure, fitted: JointMeasure) -> bool:
    """Whether a gap is the old one within the tolerance."""
    pairs = ((new.least_mm, fitted.least_mm), (new.median_mm, fitted.median_mm), (new.greatest_mm, fitted.greatest_mm))
    return all(abs(one - other) <= SAME_MM for one, other in pairs)


def _gap_words(new: JointMeasure, fitted: JointMeasure | None) -> str:
    gap = f"{new.least_mm:.2f} to {new.greatest_mm:.2f} mm of gap, {new.median_mm:.2f} mm over half of the joint"
    if new.greatest_mm - new.least_mm < SPECK_MM:
        gap = f"{new.median_mm:.2f} mm of gap all along"
    if fitted is None:
        return f"it locks: {gap}"
    if same_fit(new, fitted):
        return f"it locks as the old piece did: {gap}"
    return f"it locks, with another gap than the old piece: {gap}; it was {fitted.median_mm:.2f} mm"


def verdict_of(
    *,
    exact: bool,
    comparable: bool,
    joints: Sequence[AtJoint],
    differs: Sequence[str],
) -> tuple[Verdict, str]:
    """The verdict on one revision, and why, as a sentence.

    Args:
        exact: whether these are the bytes that the broken piece was cut from.
        comparable: whether it is known what the broken piece was cut from, so that differences are known too.
        joints: every joint of the segment.
        differs: names of the features in which it differs from the broken piece.
    """
    if exact:
        return "exact", "These are the bytes that the broken piece was cut from."
    meeting = [joint for joint in joints if joint.survives]
    for verdict, states in (("collides", ("collides", "too_tight")), ("does_not_hold", ("gone", "too_loose"))):
        stopped = [joint for joint in meeting if joint.known and joint.state.state in states]
        if stopped:
            why = "; ".join(f"{joint.place}: {joint.state.sentence}" for joint in stopped)
            return ("collides" if verdict == "collides" else "does_not_hold"), f"{why}."
    unsure = [joint for joint in meeting if not joint.known or joint.state.state == "unknown"]
    if unsure:
        reasons = (
            f"{joint.place}: {joint.state.sentence if joint.known else 'it is not on record what it was cut from'}"
            for joint in unsure
        )
        return "unknown", f"{'; '.join(reasons)}."
    if not comparable:
        return "unknown", "It is not on record what the broken piece was cut from, so nobody knows what else differs."
    if differs:
        return "fits_but_differs", f"It locks into every survivor, but differs in: {', '.join(differs)}."
    if not meeting:
        return "fits", "It meets no surviving neighbour, and its outline is that of the broken piece."
    return "fits", "It locks into every survivor, and its outline is that of the broken piece."


def _spot(at: tuple[float, float]) -> str:
    return f"({at[0]:.1f}, {at[1]:.1f})"
