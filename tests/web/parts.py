"""Segments of the demonstration that tests of the pages talk about."""

from __future__ import annotations

from dataclasses import dataclass

from service.work.resolve import resolve_mark
from service.work.show_kit import show_kit
from service.work.workshop import Workshop

KIT = "OSV4-FC1-A500"


@dataclass(frozen=True)
class Piece:
    """A tracked piece of a segment, and a neighbour of that segment."""

    number: str
    key: str
    neighbour: str


def number_at(workshop: Workshop, place: str, kit: str = KIT) -> str:
    """The number of the segment on a place."""
    (number,) = [row.number for row in show_kit(workshop, kit).segments if row.place == place]
    return number


def a_piece(workshop: Workshop, place: str = "SW2-U3") -> Piece:
    """The piece of a star wheel's quarter."""
    facts = resolve_mark(workshop, number_at(workshop, place))
    key = facts.pieces[0].key
    assert key is not None
    return Piece(facts.number, key, facts.neighbours[0].number)
