"""Joint revisions: which two builds of neighbouring segments lock into each other.

A joint has two sides, each cut from its own cut file, and one revision that both sides must carry to lock. The side
that releases a change first starts the joint's next revision; the other side catches up by its own release that
changes the joint. A withdrawn release still counts: it changed the joint for whatever was cut from it and for what was
drawn on from it, and to forget it would let two pieces pass as fitting that were never tried together.

The rule is the shop's own (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Release:
    """A released revision as the rules see it.

    Attributes:
        letter: the revision letter, ``-`` for the initial release.
        sequence: rises with the time of release over the whole shop.
        withdrawn: it must not be cut any more.
        joints_changed: the neighbours, by number or by place, to whom this release changed the joint.
        interfaces_changed: what else it changed: hub bore, bolt pattern, pocket, outside contour, thickness.
    """

    letter: str
    sequence: int
    withdrawn: bool = False
    joints_changed: frozenset[str] = frozenset()
    interfaces_changed: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Member:
    """A segment among its neighbours.

    Attributes:
        number: its number, check included.
        place: its place in the kit, for example ``SW2-U3``.
        cut_file: the name of its cut file.
        releases: all released revisions of the cut file, oldest first.
        as_built: the revision its fitted piece was cut from; None when that is not known.
        survives: the piece is whole and stays in the machine.
    """

    number: str
    place: str
    cut_file: str
    releases: tuple[Release, ...]
    as_built: str | None
    survives: bool = True

    def release(self, letter: str) -> Release:
        """The release of that letter; KeyError when there is none."""
        for release in self.releases:
            if release.letter == letter:
                return release
        raise KeyError(letter)

    def named_by(self, names: Iterable[str]) -> bool:
        """Whether any of the names, numbers or places, means this segment."""
        return any(name in (self.number, self.place) for name in names)


@dataclass(frozen=True, slots=True)
class JointHistory:
    """The revision of one joint that each release of either side carries, counted from 0."""

    levels: Mapping[tuple[str, str], int]

    def level(self, member: Member, letter: str) -> int:
        """The joint's revision on this member when it is cut from that letter."""
        return self.levels[member.number, letter]


def joint_history(first: Member, second: Member) -> JointHistory:
    """Walk both sides' releases in the order of release and give each the joint revision that it carries."""
    steps: dict[int, list[tuple[Member, Release, Member]]] = {}
    for member, other in ((first, second), (second, first)):
        for release in member.releases:
            steps.setdefault(release.sequence, []).append((member, release, other))

    newest = 0
    carried = {first.number: 0, second.number: 0}
    levels: dict[tuple[str, str], int] = {}
    for _, together in sorted(steps.items()):
        # Two segments cut from one file get a release at the same moment: it changes both sides at once.
        changing = [member for member, release, other in together if other.named_by(release.joints_changed)]
        same_file = first.cut_file == second.cut_file
        if changing and same_file:
            changing = [first, second]
        if changing:
            starts = any(carried[member.number] == newest for member in changing)
            newest = newest + 1 if starts else newest
            for member in changing:
                carried[member.number] = newest
        for member, release, _other in together:
            levels[member.number, release.letter] = carried[member.number]
    return JointHistory(levels)
