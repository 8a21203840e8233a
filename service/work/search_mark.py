"""What is left of a mark, weighed against every number, key and legacy mark on record."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from sqlalchemy import Connection

from service.errors import BadInput
from service.numbering.alignment import aligned_cost
from service.numbering.dictation import Dictation, dictated
from service.numbering.error_model import CameBy, ErrorModel, error_model
from service.numbering.fragment import Fragment, parse_fragment
from service.numbering.left_out import search_left_out
from service.numbering.matches import Match
from service.numbering.number_index import NumberIndex
from service.rules.evidence_table import VALUES
from service.rules.mark_evidence import either_cost, join_mark, mean_cost
from service.rules.segment_space import Floats, SegmentSpace
from service.store.alias_subjects import designations, segment_ids
from service.work.fragments import MarkCandidate, aliases_from, keys_from

MOST_MATCHES = 2000
"""How many numbers are taken from the search over marks alone; evidence may put any of them first."""

WITHIN = 14.0
"""Numbers that cost so much more than the cheapest are as unlikely as a mark of another part."""

MOST_OTHERS = 40
"""How many keys and legacy marks are taken."""

OTHER_PART = "the mark is that of another part"

_HEARD_OTHERWISE = 100
"""How many numbers are taken from another way to hear what was said."""

_PAUSES = re.compile(r"[,;:]")
"""Signs for a pause in what is dictated; they stand in no number."""
_SAMPLE = 40
_SIGNS_AT_A_TIME = 8000
_FEWEST, _MOST = 150, 1500
_ROUNDS = 2
_ENOUGH = 0.02
"""The likelihood that may lie with numbers that were not held against the mark one by one."""


@dataclass
class MarkWeighed:
    """A fragment held against the numbers, keys and legacy marks on record.

    Attributes:
        fragment: what is left of a number; None when it can be no part of one.
        model: the costs of what can go wrong.
        consistent: how many marks on record agree with every sign that was read.
        numbers: by row id of a segment how its number was so read, and what that costs.
        others: by row id of a segment the key or legacy mark of it that may have been read.
        kits: by number what a legacy mark of a whole kit, or of its machine or line, costs.
        beyond: what all other numbers cost at least; None when they are as unlikely as a mark of another part.
        agreeing: the share of all numbers that agree with every sign that was read.
    """

    fragment: Fragment | None
    model: ErrorModel
    consistent: int
    numbers: dict[int, Match]
    others: dict[int, MarkCandidate]
    kits: dict[str, MarkCandidate]
    beyond: float | None
    agreeing: float
    _share: float = field(init=False)

    def __post_init__(self) -> None:
        # What is read off a part is its number as a rule; where nothing else fits it, it is nothing else.
        elsewhere = VALUES["mark.elsewhere"] if self.others or self.kits else 0.0
        self._share = (1 - elsewhere) if self.fragment is not None else 0.0

    def costs(self) -> dict[int, float]:
        """By row id what it costs that a mark of it was so read; all others cost more."""
        found = {id_: match.cost - _log(self._share) for id_, match in self.numbers.items()}
        for id_, one in self.others.items():
            cost = one.cost - _log(1 - self._share)
            found[id_] = min(cost, found.get(id_, math.inf))
        return found

    def assumed(self, segment_id: int, kit: str) -> tuple[str, ...]:
        """What has to be true of the mark for it to be this segment, of a kit."""
        match, other, of_kit = self.numbers.get(segment_id), self.others.get(segment_id), self.kits.get(kit)
        whole = min((one for one in (other, of_kit) if one is not None), key=lambda one: one.cost, default=None)
        if match is not None and (whole is None or match.cost <= whole.cost):
            return match.assumed
        return whole.assumed if whole else (OTHER_PART,)

    def joined(self, connection: Connection, space: SegmentSpace, logs: Floats, *, wanted: int) -> tuple[Floats, float]:
        """Evidence and mark together, and how much of the likelihood lies with numbers not held against it one by one.

        Where more numbers may be meant than are looked at, the likeliest by all else are looked at next, and the rest
        counts as likely as some of them, taken evenly from all over the records, are on average.

        Args:
            connection: a read transaction.
            space: all segments.
            logs: for each segment the logarithm of how likely it is by all but the mark.
            wanted: how many of the likeliest have to be right.
        """
        signs = len(self.fragment.read) if self.fragment else 1
        lot = max(wanted, min(_MOST, max(_FEWEST, _SIGNS_AT_A_TIME // signs)))
        rest = self._rest(connection, space)
        kits = {number: one.cost - _log(1 - self._share) for number, one in self.kits.items()}
        joint = join_mark(space, logs, self.costs(), rest=rest, kits=kits, wanted=lot)
        for _ in range(_ROUNDS):
            if not joint.open or joint.unweighed < _ENOUGH:
                break
            self._weigh(connection, [int(space.ids[at]) for at in joint.open])
            joint = join_mark(space, logs, self.costs(), rest=rest, kits=kits, wanted=lot)
        return joint.logs, joint.unweighed

    def _rest(self, connection: Connection, space: SegmentSpace) -> float | None:
        """What it costs on average that one of the numbers was so read which were not found."""
        if self.beyond is None:
            return None
        step = max(1, len(space) // _SAMPLE)
        ids = [id_ for id_ in map(int, space.ids[step // 2 :: step]) if id_ not in self.numbers]
        numbers = designations(connection, "segment", ids)
        costs = [max(self.beyond, self._cost(number)) for number in numbers.values()]
        least = min(match.cost for match in self.numbers.values())
        # Few agree, and a sample misses them; how many there are is known.
        agree = max(0.0, self.agreeing * len(space) - len(self.numbers)) / max(1, len(space) - len(self.numbers))
        return either_cost(max(least, self.beyond), agree, mean_cost(costs) if costs else self.beyond) - _log(
            self._share
        )

    def _weigh(self, connection: Connection, ids: list[int]) -> None:
        """Work out what it costs that these segments' numbers were so read."""
        assert self.fragment is not None
        for id_, number in designations(connection, "segment", ids).items():
            self.numbers[id_] = Match(number, self._cost(number), self.fragment, self.model)

    def _cost(self, number: str) -> float:
        assert self.fragment is not None
        return aligned_cost(self.fragment.read, number.replace("-", ""), self.model)


def weigh_mark(
    connection: Connection,
    index: NumberIndex,
    space: SegmentSpace,
    mark: str,
    came_by: CameBy | None,
    *,
    most: int = MOST_MATCHES,
) -> MarkWeighed:
    """What is left of a mark, held against every number, key and legacy mark on record.

    Args:
        connection: a read transaction, opened after ``index`` and ``space`` were asked for.
        index: all numbers.
        space: all segments.
        mark: what is left of it.
        came_by: how it came in.
        most: how many numbers are looked at.

    Raises:
        BadCharacter, BadNumber: nothing in it can be part of a number, and no key or legacy mark is like it; the sign
            is pointed at.
    """
    mark = _PAUSES.sub(" ", mark)
    # Only what was said, or may have been, is written down in words.
    heard, *otherwise = dictated(mark) if came_by in (CameBy.EAR, None) else (Dictation(mark, 0.0, ()),)
    others, kits, agree = _elsewhere(connection, space, mark, heard.text, came_by)
    model = error_model(came_by)
    try:
        fragment = parse_fragment(heard.text)
    except BadInput:
        if not others and not kits:
            raise
        return MarkWeighed(None, model, agree, {}, others, kits, None, 0.0)
    matches = index.search(fragment, model, most, within=WITHIN)
    best = matches[0].cost if matches else math.inf
    left_out = search_left_out(index, fragment, model, most, within=WITHIN, best=best)
    # The dearer one first, so that the cheaper one of a number stays.
    by_cost = sorted((*matches, *left_out, *_heard_otherwise(index, otherwise, model)), key=lambda match: -match.cost)
    ids = segment_ids(connection, {match.number for match in by_cost})
    consistent = index.consistent(fragment).count
    return MarkWeighed(
        fragment=fragment,
        model=model,
        consistent=consistent + agree,
        numbers={ids[match.number]: match for match in by_cost if match.number in ids},
        others=others,
        kits=kits,
        beyond=matches[-1].cost if len(matches) == most < len(space) else None,
        agreeing=consistent / max(1, len(space)),
    )


def _heard_otherwise(index: NumberIndex, ways: Sequence[Dictation], model: ErrorModel) -> Iterator[Match]:
    """The numbers that were meant if what was said was not what was heard: 15 for 50."""
    for way in ways:
        for match in index.search(parse_fragment(way.text), model, _HEARD_OTHERWISE, within=WITHIN):
            yield replace(match, cost=match.cost + way.cost, said=way.assumed)


def _elsewhere(
    connection: Connection, space: SegmentSpace, mark: str, heard: str, came_by: CameBy | None
) -> tuple[dict[int, MarkCandidate], dict[str, MarkCandidate], int]:
    """Keys and legacy marks that were so read: by segment, by kit, and how many agree with every sign.

    Words for signs (``heard`` has the signs) make up a key; a legacy mark may hold the words themselves.
    """
    keys = keys_from(connection, heard, came_by=came_by, limit=MOST_OTHERS)
    aliases = aliases_from(connection, mark, came_by=came_by, limit=MOST_OTHERS)
    segments: dict[int, MarkCandidate] = {}
    kits: dict[str, MarkCandidate] = {}
    for one in sorted((*keys.candidates, *aliases.candidates), key=lambda one: one.cost):
        if one.kind == "segment":
            segments.setdefault(one.subject_id, one)
        elif one.kind != "container":
            for number in _kits_of(space, one):
                kits.setdefault(number, one)
    return segments, kits, (keys.consistent or 0) + (aliases.consistent or 0)


def _kits_of(space: SegmentSpace, one: MarkCandidate) -> list[str]:
    """The kits of what a legacy mark names; those that were numbered there, for a machine, a line or a plant."""
    if one.kind == "kit":
        return [one.name]
    begins = re.compile(re.escape(one.name) + (r"\d" if one.kind == "plant" else "-"))
    return [number for number in space.kit_numbers if begins.match(number)]


def _log(share: float) -> float:
    return math.log(share) if share > 0 else -math.inf
