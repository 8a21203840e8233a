"""The smallest set of neighbours to cut together with a segment whose new revision does not lock into the old ones."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Protocol

from service.rules.joints import JointHistory, Member

# A star in eighths on two decks hangs together in rings of eight; this many looked-at sets is far beyond any such kit.
MOST_SETS = 20_000


@dataclass(frozen=True, slots=True)
class AlsoCut:
    """A neighbour that has to be cut too, and from which revision of which cut file."""

    number: str
    place: str
    cut_file: str
    revision: str


class JointSource(Protocol):
    """What says whether two pieces lock: the declared joint revisions, or the outlines."""

    def pairs(self) -> Collection[frozenset[str]]:
        """The joints, each by the two numbers that it ties."""

    def locks(self, one: Member, letter: str, other: Member, other_letter: str) -> bool:
        """Whether two segments cut from these revisions lock into each other."""

    def same_edge(self, member: Member, letter: str, towards: Member) -> bool:
        """Whether the joint is that of the segment's as-built revision, which locked; False where that is unknown."""


@dataclass(frozen=True, slots=True)
class DeclaredJoints:
    """What the releases declare: two pieces lock when they carry the same revision of the joint between them."""

    histories: Mapping[frozenset[str], JointHistory]

    def pairs(self) -> Collection[frozenset[str]]:
        """The joints, each by the two numbers that it ties."""
        return self.histories.keys()

    def locks(self, one: Member, letter: str, other: Member, other_letter: str) -> bool:
        """Whether both carry the same revision of their joint."""
        history = self.histories[frozenset((one.number, other.number))]
        return history.level(one, letter) == history.level(other, other_letter)

    def same_edge(self, member: Member, letter: str, towards: Member) -> bool:
        """Whether the revision carries the same revision of the joint as the as-built one."""
        history = self.histories[frozenset((member.number, towards.number))]
        as_built = member.as_built
        return as_built is not None and history.level(member, letter) == history.level(member, as_built)


def smallest_set(
    *,
    damaged: str,
    revision: str,
    members: Mapping[str, Member],
    joints: JointSource,
) -> tuple[AlsoCut, ...] | None:
    """The fewest further segments to cut so that every joint locks again; newest revisions first among equals.

    A joint between a segment that is cut and one that stays needs the revision that the staying piece was built at; a
    staying piece of unknown build has to be cut too where the joint to it changed.

    Returns:
        The set in natural order of joints found, empty when nothing else has to be cut, None when no released
        revisions lock.
    """
    around: dict[str, list[str]] = {}
    for pair in joints.pairs():
        first, second = sorted(pair)
        around.setdefault(first, []).append(second)
        around.setdefault(second, []).append(first)

    # Best first: fewest segments, then the newest revisions (age 0 is the newest that may still be cut).
    tie = itertools.count()
    queue: list[tuple[int, int, int, dict[str, str]]] = [(0, 0, next(tie), {damaged: revision})]
    seen: set[frozenset[tuple[str, str]]] = set()
    for _ in range(MOST_SETS):
        if not queue:
            return None
        size, age, _order, chosen = heapq.heappop(queue)
        fingerprint = frozenset(chosen.items())
        if fingerprint in seen:
            continue
        seen.add(fingerprint)
        open_end = _open_end(chosen, members, joints, around)
        if open_end is None:
            return tuple(
                AlsoCut(number, members[number].place, members[number].cut_file, letter)
                for number, letter in chosen.items()
                if number != damaged
            )
        for older, letter in enumerate(_may_be_cut(members[open_end])):
            grown = {**chosen, open_end: letter}
            if _cut_ones_lock(open_end, grown, members, joints, around):
                heapq.heappush(queue, (size + 1, age + older, next(tie), grown))
    return None


def _may_be_cut(member: Member) -> list[str]:
    """Released and not withdrawn, newest first."""
    return [release.letter for release in reversed(member.releases) if not release.withdrawn]


def _open_end(
    chosen: Mapping[str, str],
    members: Mapping[str, Member],
    joints: JointSource,
    around: Mapping[str, list[str]],
) -> str | None:
    """A segment that stays although the joint to it no longer locks; None when all is well."""
    for number, letter in chosen.items():
        member = members[number]
        for other in around.get(number, []):
            stays = members[other]
            if other in chosen or not stays.survives:
                continue
            if stays.as_built is not None:
                locks = joints.locks(member, letter, stays, stays.as_built)
            else:
                # An unknown neighbour locked into the old piece: only an unchanged joint is known to lock again.
                locks = joints.same_edge(member, letter, stays)
            if not locks:
                return other
    return None


def _cut_ones_lock(
    number: str,
    chosen: Mapping[str, str],
    members: Mapping[str, Member],
    joints: JointSource,
    around: Mapping[str, list[str]],
) -> bool:
    """Whether the segment, as chosen, locks into every other segment that is cut."""
    for other in around.get(number, []):
        if other in chosen and not joints.locks(members[number], chosen[number], members[other], chosen[other]):
            return False
    return True
