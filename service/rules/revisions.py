"""Which revision of a broken segment to cut, so that the new piece locks into what survived.

The default is the revision that the damaged piece was cut from: it locked into its neighbours, so an exact copy will.
Anything newer has to prove joint by joint that it fits (see ``joints.py``), and where it does not, which neighbours
have to be cut too. Every outcome carries its reasons.

The rule is the shop's own (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.rules.joints import Member, Release, joint_history
from service.rules.neighbours import AlsoCut, DeclaredJoints, JointSource, smallest_set

Outcome = Literal["exact", "exact_with_deviations", "current_fits", "current_needs_neighbours", "no_record"]
Prefer = Literal["as_built", "newest"]


@dataclass(frozen=True, slots=True)
class Situation:
    """What is known when a segment is broken.

    Attributes:
        damaged: the number of the broken segment.
        members: the broken segment and all that hang together with it by joints, by number.
        joints: pairs of numbers that share a joint.
        deviations: how the damaged piece was reworked on site; empty when it was not.
        why_unknown: when the damaged piece's revision is not known: why, as a sentence without a full stop.
        prefer: ``as_built`` unless the newest revision is asked for.
        by: what says whether two pieces lock; the declared joint revisions unless said.
    """

    damaged: str
    members: Mapping[str, Member]
    joints: Sequence[tuple[str, str]]
    deviations: str = ""
    why_unknown: str = ""
    prefer: Prefer = "as_built"
    by: JointSource | None = None


@dataclass(frozen=True, slots=True)
class Decision:
    """The revision to cut (None when nobody can know), what must be cut with it, and why."""

    outcome: Outcome
    revision: str | None
    also_cut: tuple[AlsoCut, ...]
    reasons: tuple[str, ...]


def declared_joints(members: Mapping[str, Member], joints: Sequence[tuple[str, str]]) -> DeclaredJoints:
    """The joint revisions that the releases of these segments declare."""
    return DeclaredJoints({frozenset(pair): joint_history(members[pair[0]], members[pair[1]]) for pair in joints})


def decide(situation: Situation) -> Decision:
    """Decide the revision to cut and say why."""
    return _Decider(situation).decide()


class _Decider:
    """The steps of one decision over one situation."""

    def __init__(self, situation: Situation) -> None:
        self.situation = situation
        self.damaged = situation.members[situation.damaged]
        self.joints = situation.by or declared_joints(situation.members, situation.joints)
        self.neighbours = self._neighbours_of(self.damaged.number)
        self.survivors = [member for member in self.neighbours if member.survives]
        self.reasons: list[str] = []

    def decide(self) -> Decision:
        """Exact if it may be, otherwise the newest that fits, otherwise the newest with its neighbours."""
        as_built = self.damaged.as_built
        if as_built is None:
            return self._no_record(
                self.situation.why_unknown or "The revision of the damaged piece is not on record",
                "Ask for the key on the piece, for the number of the neighbour that survived, or for a trace of the "
                "edge on paper",
            )
        self._say_what_is_not_known()
        built = self.damaged.release(as_built)
        unknown = [member for member in self.survivors if member.as_built is None]
        if built.withdrawn:
            if unknown:
                return self._no_record(
                    f"Revision {as_built}, from which the piece was cut, is withdrawn, and what "
                    f"{_listed(unknown)} was cut from is not known",
                    "Ask for the key on the neighbour, or for a trace of its edge on paper",
                )
            self.reasons.append(f"Revision {as_built}, from which the piece was cut, is withdrawn and must not be cut.")
            return self._newer(built, self._candidates(built, older_too=True))
        if self.situation.prefer == "newest" and not unknown:
            newer = self._candidates(built, older_too=False)
            if newer:
                return self._newer(built, newer)
            self.reasons.append(f"Nothing newer than revision {as_built} is released.")
        elif self.situation.prefer == "newest":
            self.reasons.append("With a neighbour of unknown build only the as-built revision is safe.")
        return self._exact(as_built)

    def _exact(self, as_built: str) -> Decision:
        """The as-built revision, with the rework that was done on site."""
        locked = "; it locked into these neighbours" if self.neighbours else ""
        self.reasons.append(f"Revision {as_built} is what the damaged piece was cut from{locked}.")
        for neighbour in self.survivors:
            if neighbour.as_built is not None and not self._locks(as_built, neighbour):
                self.reasons.append(
                    f"The record carries different revisions of the joint to {neighbour.place} "
                    f"({neighbour.number}, built at {neighbour.as_built}): look at that joint before cutting."
                )
        if self.situation.deviations:
            self.reasons.append(f"The piece was modified on site; do the same rework: {self.situation.deviations}")
            return Decision("exact_with_deviations", as_built, (), tuple(self.reasons))
        return Decision("exact", as_built, (), tuple(self.reasons))

    def _newer(self, built: Release, candidates: Sequence[Release]) -> Decision:
        """The newest candidate that fits everything, else the newest with the fewest neighbours cut too."""
        for release in candidates:
            changed = self._interfaces_between(built, release)
            misfits = [member for member in self.survivors if not self._locks(release.letter, member)]
            if not misfits and not changed:
                self.reasons.append(
                    f"Revision {release.letter} carries the same joint to every surviving neighbour and changes "
                    "nothing else that the machine or the container meets."
                )
                self._mention_rework()
                return Decision("current_fits", release.letter, (), tuple(self.reasons))
            for member in misfits:
                self.reasons.append(
                    f"Revision {release.letter} changes the joint to {member.place} ({member.number}), "
                    f"which was built at {member.as_built}."
                )
            if changed:
                self.reasons.append(f"Revision {release.letter} also changes: {', '.join(changed)}.")
        return self._with_neighbours(built, candidates)

    def _with_neighbours(self, built: Release, candidates: Sequence[Release]) -> Decision:
        """The newest candidate that can lock when neighbours are cut too; as built when none can and it may."""
        for release in candidates:
            if not built.withdrawn and not any(not self._locks(release.letter, member) for member in self.survivors):
                # Only another interface stands against it: cutting neighbours would not help, the as-built piece does.
                continue
            also_cut = smallest_set(
                damaged=self.damaged.number,
                revision=release.letter,
                members=self.situation.members,
                joints=self.joints,
            )
            if also_cut is None:
                self.reasons.append(
                    f"No released revision of the neighbours locks into revision {release.letter}: their side of the "
                    "joint has not caught up."
                )
                continue
            if also_cut:
                self.reasons.append(
                    f"With {', '.join(f'{cut.place} at {cut.revision}' for cut in also_cut)} cut too, "
                    f"revision {release.letter} locks; no smaller set does."
                )
            changed = self._interfaces_between(built, release)
            if changed:
                self.reasons.append(
                    f"Before cutting, check on the machine what {release.letter} changes: {', '.join(changed)}."
                )
            self._mention_rework()
            return Decision("current_needs_neighbours", release.letter, also_cut, tuple(self.reasons))
        if built.withdrawn:
            return self._no_record(
                "No released revision locks into what survived",
                "Ask the design office to release one, or for a trace of the neighbours' edges",
            )
        return self._exact(built.letter)

    def _no_record(self, why: str, ask: str) -> Decision:
        """Nobody can know which revision locks: say why, and what to ask for."""
        return Decision("no_record", None, (), (*self.reasons, f"{why}.", f"{ask}."))

    def _say_what_is_not_known(self) -> None:
        for neighbour in self.neighbours:
            if neighbour.survives and neighbour.as_built is None:
                self.reasons.append(
                    f"The build of {neighbour.place} ({neighbour.number}) is not known: only an exact copy is safe."
                )
            elif not neighbour.survives:
                self.reasons.append(f"{neighbour.place} ({neighbour.number}) is not among the survivors.")

    def _mention_rework(self) -> None:
        if self.situation.deviations:
            self.reasons.append(
                f"The damaged piece was modified on site; check whether this still applies: {self.situation.deviations}"
            )

    def _candidates(self, built: Release, *, older_too: bool) -> list[Release]:
        """Released, not withdrawn, not the as-built one; newest first."""
        return [
            release
            for release in reversed(self.damaged.releases)
            if not release.withdrawn
            and release.letter != built.letter
            and (older_too or release.sequence > built.sequence)
        ]

    def _interfaces_between(self, built: Release, release: Release) -> list[str]:
        """What other interfaces changed between two revisions, whichever is the older."""
        low, high = sorted((built.sequence, release.sequence))
        return sorted(
            {name for step in self.damaged.releases if low < step.sequence <= high for name in step.interfaces_changed}
        )

    def _locks(self, letter: str, neighbour: Member) -> bool:
        """Whether the damaged segment, cut from this letter, carries the neighbour's revision of their joint."""
        as_built = neighbour.as_built
        return as_built is not None and self.joints.locks(self.damaged, letter, neighbour, as_built)

    def _neighbours_of(self, number: str) -> list[Member]:
        return [
            self.situation.members[other]
            for pair in self.situation.joints
            if number in pair
            for other in pair
            if other != number
        ]


def _listed(members: Sequence[Member]) -> str:
    return ", ".join(f"{member.place} ({member.number})" for member in members)
