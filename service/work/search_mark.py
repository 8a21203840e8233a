"""What is left of a mark, weighed against every issued number."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sqlalchemy import Connection

from service.numbering.alignment import aligned_cost
from service.numbering.error_model import CameBy, ErrorModel, error_model
from service.numbering.fragment import Fragment, parse_fragment
from service.numbering.matches import Match
from service.numbering.number_index import NumberIndex
from service.rules.mark_evidence import join_mark
from service.rules.segment_space import Floats, SegmentSpace
from service.store.alias_subjects import designations, segment_ids

MOST_MATCHES = 3000
"""How many numbers are taken from the search over marks alone; evidence may put any of them first."""

WITHIN = 14.0
"""Numbers that cost so much more than the cheapest are as unlikely as a mark of another part."""

_PAUSES = re.compile(r"[,;:]")
"""Signs for a pause in what is dictated; they stand in no number."""
_AT_A_TIME = 400
_ROUNDS = 4
_ENOUGH = 0.01
"""The likelihood that may lie with numbers that were not held against the mark."""


@dataclass
class MarkWeighed:
    """A fragment held against the issued numbers.

    Attributes:
        fragment: what is left of the mark.
        model: the costs of what can go wrong.
        consistent: how many numbers agree with every sign that was read.
        matches: by row id of a segment how its number was so read, and what that costs.
        beyond: what all other numbers cost at least; None when they are as unlikely as a mark of another part.
    """

    fragment: Fragment
    model: ErrorModel
    consistent: int
    matches: dict[int, Match]
    beyond: float | None

    def costs(self) -> dict[int, float]:
        """By row id what it costs that its number was so read; all others cost more."""
        return {id_: match.cost for id_, match in self.matches.items()}

    def assumed(self, segment_id: int) -> tuple[str, ...]:
        """What has to be true of the mark for it to be this segment."""
        match = self.matches.get(segment_id)
        return match.assumed if match else ("the mark is that of another part",)

    def joined(self, connection: Connection, space: SegmentSpace, logs: Floats, *, wanted: int) -> tuple[Floats, float]:
        """Evidence and mark together, and how much of the likelihood lies with numbers that were not held against it.

        The likeliest of those are worked out one lot after another, until little enough is left.

        Args:
            connection: a read transaction.
            space: all segments.
            logs: for each segment the logarithm of how likely it is by all but the mark.
            wanted: how many of the likeliest have to be right.
        """
        lot = max(_AT_A_TIME, wanted)
        joint = join_mark(space, logs, self.costs(), beyond=self.beyond, wanted=lot)
        for _ in range(_ROUNDS):
            if not joint.open or joint.unweighed < _ENOUGH:
                break
            self._weigh(connection, [int(space.ids[at]) for at in joint.open])
            joint = join_mark(space, logs, self.costs(), beyond=self.beyond, wanted=lot)
        return joint.logs, joint.unweighed

    def _weigh(self, connection: Connection, ids: list[int]) -> None:
        """Work out what it costs that these segments' numbers were so read."""
        for id_, number in designations(connection, "segment", ids).items():
            cost = aligned_cost(self.fragment.read, number.replace("-", ""), self.model)
            self.matches[id_] = Match(number, cost, self.fragment, self.model)


def weigh_mark(
    connection: Connection, index: NumberIndex, space: SegmentSpace, mark: str, came_by: CameBy
) -> MarkWeighed:
    """What is left of a mark, held against every issued number.

    Args:
        connection: a read transaction.
        index: all issued numbers.
        space: all segments.
        mark: what is left.
        came_by: how it came in.

    Raises:
        BadCharacter, BadNumber: nothing in it can be part of a number; the sign is pointed at.
    """
    fragment, model = parse_fragment(_PAUSES.sub(" ", mark)), error_model(came_by)
    matches = index.search(fragment, model, MOST_MATCHES, within=WITHIN)
    ids = segment_ids(connection, [match.number for match in matches])
    all_there = len(matches) < min(MOST_MATCHES, len(space))
    return MarkWeighed(
        fragment=fragment,
        model=model,
        consistent=index.consistent(fragment).count,
        matches={ids[match.number]: match for match in matches if match.number in ids},
        beyond=None if all_there else max(match.cost for match in matches),
    )
