"""Whether a broken piece may be one that is on order already. Nobody pays for two where one broke."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Broken:
    """What is known of which piece of a segment broke.

    Attributes:
        piece_id: the piece, where it is known.
        set_number: its set, where that is known.
    """

    piece_id: int | None
    set_number: int | None


def may_be_the_same(one: Broken, other: Broken) -> bool:
    """Whether two reports of one segment may be about the same piece.

    Two different pieces are two; pieces of two different sets are two. Wherever that is not known they may be one.
    """
    if one.piece_id is not None and other.piece_id is not None:
        return one.piece_id == other.piece_id
    if one.set_number is not None and other.set_number is not None:
        return one.set_number == other.set_number
    return True
