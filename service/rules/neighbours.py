"""The smallest set of neighbours to cut together with a segment whose new revision does not lock into the old ones."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Mapping
from dataclasses import dataclass

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


def smallest_set(
    *,
    damaged: str,
    revision: str,
    members: Mapping[str, Member],
    histories: Mapping[frozenset[str], JointHistory],
) -> tuple[AlsoCut, ...] | None:
    """The fewest further segments to cut so that every joint locks again; newest revisions first among equals.

    A joint between a segment that is cut and one that stays needs the revision that the staying piece was built at; a
    staying piece of unknown build has to be cut too where the joint to it changed.

    Returns:
        The set in natural order of joints found, empty when nothing else has to be cut, None when no released
        revisions lock.
    """
    around: dict[str, list[str]] = {}
    for pair in histories:
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
        open_end = _open_end(chosen, members, histories, around)
        if open_end is None:
            return tuple(
                AlsoCut(number, members[number].place, members[number].cut_file, letter)
                for number, letter in chosen.items()
                if number != damaged
            )
        for older, letter in enumerate(_may_be_cut(members[open_end])):
            grown = {**chosen, open_end: letter}
            if _cut_ones_lock(open_end, grown, members, histories, around):
                heapq.heappush(queue, (size + 1, age + older, next(tie), grown))
    return None


def _may_be_cut(member: Member) -> list[str]:
    """Released and not withdrawn, newest first."""
    return [release.letter for release in reversed(member.releases) if not release.withdrawn]


def _open_end(
    chosen: Mapping[str, str],
    members: Mapping[str, Member],
    histories: Mapping[frozenset[str], JointHistory],
    around: Mapping[str, list[str]],
) -> str | None:
    """A segment that stays although the joint to it no longer locks; None when all is well."""
    for number, letter in chosen.items():
        member = members[number]
        for other in around.get(number, []):
            stays = members[other]
            if other in chosen or not stays.survives:
                continue
            history = histories[frozenset((number, other))]
            level = history.level(member, letter)
            if stays.as_built is not None:
                locks = level == history.level(stays, stays.as_built)
            else:
                # An unknown neighbour locked into the old piece: only an unchanged joint is known to lock again.
                locks = member.as_built is not None and level == history.level(member, member.as_built)
            if not locks:
                return other
    return None


def _cut_ones_lock(
    number: str,
    chosen: Mapping[str, str],
    members: Mapping[str, Member],
    histories: Mapping[frozenset[str], JointHistory],
    around: Mapping[str, list[str]],
) -> bool:
    """Whether the segment, as chosen, locks into every other segment that is cut."""
    for other in around.get(number, []):
        if other in chosen:
            history = histories[frozenset((number, other))]
            if history.level(members[number], chosen[number]) != history.level(members[other], chosen[other]):
                return False
    return True
