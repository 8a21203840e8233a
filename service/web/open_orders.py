"""What is on order already for a segment, said before somebody orders it once more."""

from __future__ import annotations

from dataclasses import dataclass

from service.web.order_words import state_name
from service.work.open_work import open_work
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class OpenOrder:
    """An open order, and how far it is."""

    id: int
    words: str


def open_orders_of(workshop: Workshop, number: str) -> tuple[OpenOrder, ...]:
    """Open orders of a segment, those too that cut it as a neighbour; the oldest first."""
    return tuple(
        OpenOrder(row.order, f"{state_name(row.state).lower()}, since {row.since[:10]}")
        for row in open_work(workshop).rows
        if number == row.number or any(also.number == number for also in row.also_cut)
    )
