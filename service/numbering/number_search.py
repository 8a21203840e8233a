"""The cheapest issued numbers for a fragment: all the stages together, and what of their products was issued."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush, merge
from itertools import islice

from service.numbering.bounds import Bounds, at_the_end, before
from service.numbering.columns import Columns
from service.numbering.given import Given
from service.numbering.grid_costs import NEVER
from service.numbering.issued import CHECKS, Issued, Member
from service.numbering.joined import Joined, Stream
from service.numbering.stages import Walk

__all__ = ["Found", "cheapest", "parts"]

Found = tuple[int, Member]
"""Steps beyond the base, and a number."""

_FEW_KITS = 24
_FEW_PLACES = 64
_FIRST_CHECK = 2


class _Stages:
    """The stages of a number behind each other, opened where they are needed."""

    def __init__(self, issued: Issued, given: Given) -> None:
        self.given = given
        self._issued = issued
        left_out = given.costs.check_left_out
        self._of_check = before(CHECKS, given, at_the_end(given), left_out=left_out)
        self._of_place = before(issued.places, given, self._of_check)
        self._of_assembly = before(issued.assemblies, given, self._of_place)
        self._of_kit = before(issued.kits, given, self._of_assembly)
        self._opened: dict[tuple[int, int], Walk] = {}

    def kits(self) -> Walk:
        """All kits, from the beginning of the fragment, which may be broken off."""
        walk = Walk(self._issued.kits, self.given, self._of_kit).enter(0)
        if not self.given.runs[0]:
            walk.enter(self.given.headless, self.given.costs.lost_head)
        return walk

    def assemblies(self, place: int) -> Stream:
        """Assemblies and places behind a kit that ends at a place of the fragment."""
        return Joined(self._walk(1, self._issued.assemblies, self._of_assembly, place), self.places)

    def places(self, place: int) -> Stream:
        """Places behind an assembly."""
        return self._walk(2, self._issued.places, self._of_place, place)

    def checks(self, place: int) -> Walk:
        """Check digits behind a place, the cheapest first."""
        return self._walk(3, CHECKS, self._of_check, place)

    def _walk(self, stage: int, columns: Columns, bounds: Bounds, place: int) -> Walk:
        found = self._opened.get((stage, place))
        if found is None:
            left_out = self.given.costs.check_left_out if stage == 3 else None
            walk = Walk(columns, self.given, bounds, left_out=left_out)
            found = self._opened[stage, place] = walk.enter(place)
        return found


def parts(issued: Issued, given: Given) -> tuple[Joined, _Stages]:
    """Sets of kits, assemblies and places, in the order of the steps that they take with the likeliest check."""
    stages = _Stages(issued, given)
    return Joined(stages.kits(), stages.assemblies), stages


def cheapest(issued: Issued, given: Given, limit: int, within: int) -> list[Found]:
    """The numbers with the fewest steps, equal ones in natural order.

    Args:
        issued: the numbers.
        given: the fragment.
        limit: how many at most.
        within: numbers that take so many steps more than the first are left out.
    """
    return _Search(issued, given).run(limit, within) if issued.count and limit > 0 else []


class _Search:
    def __init__(self, issued: Issued, given: Given) -> None:
        self._issued, self._given = issued, given
        self._stream, self._stages = parts(issued, given)
        self._taken = 0
        # What is known to come at some steps: sets of parts with the checks that they must have.
        self._due: list[tuple[int, int, Iterator[Member]]] = []
        self._checks: list[tuple[int, int, _Checked]] = []
        self._nth = 0
        self._costs: dict[tuple[int, int], int] = {}

    def run(self, limit: int, within: int) -> list[Found]:
        found: dict[Member, int] = {}
        most = NEVER
        while len(found) < limit:
            now = self._next()
            if now is None or now > most:
                break
            self._advance(now)
            here = [members for steps, _, members in self._pop_due(now)]
            missing = limit - len(found)
            # Each of them is in natural order: of each only the first few can be among the first few of all.
            fresh = [islice((one for one in some if one not in found), missing) for some in here]
            last = None
            for member in merge(*fresh):
                if member != last and len(found) < limit:
                    found[member] = now
                last = member
            if found and most == NEVER:
                most = now + within
        return [(steps, member) for member, steps in found.items()]

    def _next(self) -> int | None:
        ahead = [self._stream.frontier, *(queue[0][0] for queue in (self._due, self._checks) if queue)]
        return min((steps for steps in ahead if steps is not None), default=None)

    def _advance(self, now: int) -> None:
        """Find all that takes ``now`` steps."""
        while True:
            if self._stream.frontier is not None and self._stream.frontier <= now:
                self._stream.step()
                for item in self._stream.items[self._taken :]:
                    self._take(*item)
                self._taken = len(self._stream.items)
            elif self._checks and self._checks[0][0] <= now:
                _, _, checked = heappop(self._checks)
                self._go_on(checked, now)
            else:
                return

    def _pop_due(self, now: int) -> list[tuple[int, int, Iterator[Member]]]:
        popped = []
        while self._due and self._due[0][0] <= now:
            popped.append(heappop(self._due))
        return popped

    def _put(self, steps: int, members: Iterator[Member]) -> None:
        if steps < NEVER:
            self._nth += 1
            heappush(self._due, (steps, self._nth, members))

    def _take(self, bound: int, steps: int, place: int, sets: tuple[int, ...]) -> None:
        """Sets of parts have come out; the check is still to be looked at."""
        kits, assemblies, places = sets
        members = self._issued.members
        if place == self._given.tailless:
            self._put(steps, members(kits, assemblies, places))
        elif kits.bit_count() <= _FEW_KITS:
            by_steps: dict[int, list[Member]] = {}
            for member in members(kits, assemblies, places):
                by_steps.setdefault(steps + self._check_steps(place, member), []).append(member)
            for due, some in by_steps.items():
                self._put(due, iter(some))
        else:
            self._nth += 1
            heappush(self._checks, (bound, self._nth, _Checked(steps, self._stages.checks(place), 0, sets)))

    def _go_on(self, checked: _Checked, now: int) -> None:
        """Look at the next check digits that fit a large product of sets."""
        walk = checked.walk
        while checked.nth >= len(walk.items) and walk.frontier is not None and checked.steps + walk.frontier <= now:
            walk.step()
        if checked.nth < len(walk.items):
            steps, _, _, (values,) = walk.items[checked.nth]
            if checked.steps + steps <= now:
                checked.nth += 1
                kits, assemblies, places = checked.sets
                self._put(checked.steps + steps, self._issued.checked(kits, assemblies, places, values))
        ahead = walk.items[checked.nth][0] if checked.nth < len(walk.items) else walk.frontier
        if ahead is not None:
            self._nth += 1
            heappush(self._checks, (checked.steps + ahead, self._nth, checked))

    def _check_steps(self, place: int, member: Member) -> int:
        value = self._issued.check(member)
        known = self._costs.get((place, value))
        if known is None:
            walk = self._stages.checks(place)
            known = NEVER
            for steps, _, _, (values,) in _all_of(walk):
                if values >> (value - _FIRST_CHECK) & 1:
                    known = steps
                    break
            self._costs[place, value] = known
        return known


class _Checked:
    """A large product of sets, and how far its checks have been looked at."""

    __slots__ = ("nth", "sets", "steps", "walk")

    def __init__(self, steps: int, walk: Walk, nth: int, sets: tuple[int, ...]) -> None:
        self.steps, self.walk, self.nth, self.sets = steps, walk, nth, sets


def _all_of(walk: Walk) -> Iterator[tuple[int, int, int, tuple[int, ...]]]:
    nth = 0
    while True:
        while nth < len(walk.items):
            yield walk.items[nth]
            nth += 1
        if walk.frontier is None:
            return
        walk.step()
