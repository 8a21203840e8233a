"""Which places of a plant break most, and how many spares each of them needs.

A piece counts from when it was made, or its kit was issued, until its end or now. It counts as broken when it broke,
wore out or was lost, and when a piece that was ordered for its place took it out; a neighbour that was cut along with
that one does not.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from schemas.casualties import CasualtiesAnswer, LikeMachinesAnswer, PlaceCasualtiesAnswer
from service.render.casualty_plan import casualty_plan
from service.rules.casualties import (
    FEW,
    INTERVAL,
    USUAL_LEAD_TIME_DAYS,
    USUAL_RISK,
    YEAR_DAYS,
    Seen,
    Spread,
    refuse_bad_stock,
    spread_of,
)
from service.store import kits
from service.store.casualties import (
    CountedSegment,
    OpenOrder,
    PieceLife,
    counted_segments,
    open_orders,
    piece_lives,
    plant_of_kit,
)
from service.work.plan import plan_parts
from service.work.plates import kit_on_record
from service.work.rename import plant_on_record
from service.work.workshop import Workshop

BROKEN = frozenset({"broken", "worn", "lost"})
"""Ends of pieces that call for a new one."""


@dataclass(frozen=True, slots=True)
class Counted:
    """One segment with what its pieces have seen.

    Attributes:
        segment: the segment.
        seen: broken pieces and piece-years.
        in_use: pieces in use now.
    """

    segment: CountedSegment
    seen: Seen
    in_use: int


@dataclass(frozen=True, slots=True)
class Counts:
    """All segments of a plant, and how the rates of each class of machine are spread."""

    segments: tuple[Counted, ...]
    spreads: Mapping[str, Spread]


def plant_casualties(
    workshop: Workshop,
    plant: str,
    *,
    risk: float = USUAL_RISK,
    lead_time_days: int = USUAL_LEAD_TIME_DAYS,
    after: int | None = None,
    limit: int = 50,
) -> CasualtiesAnswer:
    """The places of a plant, those that break most first.

    Args:
        workshop: where the records are.
        plant: the plant's code.
        risk: the chance of running out that is accepted.
        lead_time_days: from an order until the piece is there.
        after: how many places came before this page.
        limit: how many places the page has at most.

    Raises:
        BadRequest: a risk or a lead time that makes no sense.
        PlaceUnknown: no such plant.
    """
    refuse_bad_stock(risk, lead_time_days)
    with workshop.database.read() as connection:
        code = plant_on_record(connection, plant).code
        now = workshop.now()
        counts = _counts(
            counted_segments(connection, code), piece_lives(connection, code), open_orders(connection, code), now
        )
    return _answer(counts, code, None, now, risk=risk, lead_time_days=lead_time_days, after=after, limit=limit)


def kit_casualties(
    workshop: Workshop,
    kit: str,
    *,
    risk: float = USUAL_RISK,
    lead_time_days: int = USUAL_LEAD_TIME_DAYS,
    after: int | None = None,
    limit: int = 200,
) -> CasualtiesAnswer:
    """The places of a kit, drawn towards like machines of the plant; raises KitUnknown, else as for a plant."""
    refuse_bad_stock(risk, lead_time_days)
    with workshop.database.read() as connection:
        row = kit_on_record(connection, kit)
        code = plant_of_kit(connection, row.id)
        now = workshop.now()
        counts = _counts(
            counted_segments(connection, code), piece_lives(connection, code), open_orders(connection, code), now
        )
    return _answer(counts, code, row.number, now, risk=risk, lead_time_days=lead_time_days, after=after, limit=limit)


def kit_casualty_plan(
    workshop: Workshop, kit: str, *, width_px: float = 1000.0, href: Callable[[str], str] | None = None
) -> str:
    """The plan of a kit with the rate of each place in figures and shades, as SVG; raises KitUnknown."""
    facts = kit_casualties(workshop, kit, limit=10_000)
    with workshop.database.read() as connection:
        row = kit_on_record(connection, kit)
        own = [segment for segment in kits.kit_segments(connection, row.id) if not segment.voided]
        parts = plan_parts(connection, own, href)
    rates = {place.number: place.rate for place in facts.places}
    broken = {place.number: place.broken for place in facts.places}
    mean = sum(rates.values()) / len(rates) if rates else 0.0
    return casualty_plan(
        [
            replace(part, title=f"{part.words}: {broken[part.id]} broken, {rates[part.id]:.2f} a year and piece")
            for part in parts
        ],
        rates=rates,
        mean=mean,
        width_px=width_px,
        title=f"How often the parts of kit {row.number} break",
    )


def _counts(
    segments: Sequence[CountedSegment], lives: Sequence[PieceLife], orders: Sequence[OpenOrder], now: str
) -> Counts:
    by_segment: defaultdict[int, list[PieceLife]] = defaultdict(list)
    for life in lives:
        by_segment[life.segment_id].append(life)
    on_order: defaultdict[int, int] = defaultdict(int)
    for order in orders:
        on_order[order.segment_id] += order.quantity
    counted = tuple(_counted(one, by_segment[one.id], on_order[one.id], now) for one in segments)
    whole = spread_of([one.seen for one in counted])
    spreads: dict[str, Spread] = {}
    for machine_class in sorted({one.segment.machine_class for one in counted}):
        own = spread_of([one.seen for one in counted if one.segment.machine_class == machine_class])
        # A class with too little history of its own is taken to be like the plant as a whole.
        spreads[machine_class] = replace(whole, borrowed=True) if own.borrowed else own
    return Counts(counted, spreads)


def _counted(segment: CountedSegment, lives: Sequence[PieceLife], on_order: int, now: str) -> Counted:
    broken, in_use, days = 0, 0, 0.0
    sets: set[int] = set()
    for life in lives:
        if life.end == "cancelled":
            continue
        begun = life.made_at or segment.kit_issued_at
        ended = min(one for one in (life.ended_at, segment.kit_retired_at, now) if one is not None)
        days += life.count * max(0.0, _days(begun, ended))
        sets.add(life.set_number)
        if life.end in BROKEN or (life.end == "replaced" and life.ordered_for == segment.id):
            broken += life.count
        elif life.end is None and life.condition == "fitted" and segment.kit_retired_at is None:
            in_use += life.count
    # What is on order stands for a broken piece that is still in its place, unless the place is empty already.
    empty = max(0, segment.quantity * len(sets) - in_use) if segment.kit_retired_at is None else 0
    broken += max(0, on_order - empty)
    return Counted(segment, Seen(broken, days / YEAR_DAYS), in_use)


def _days(begun: str, ended: str) -> float:
    return (_moment(ended) - _moment(begun)).total_seconds() / 86_400


def _moment(text: str) -> datetime:
    """A moment of the records; a day that somebody gave without a time begins in UTC."""
    moment = datetime.fromisoformat(text)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def _answer(
    counts: Counts,
    plant: str,
    kit: str | None,
    now: str,
    *,
    risk: float,
    lead_time_days: int,
    after: int | None,
    limit: int,
) -> CasualtiesAnswer:
    asked = [one for one in counts.segments if kit is None or one.segment.kit == kit]
    places = [_place(one, counts.spreads[one.segment.machine_class], risk, lead_time_days) for one in asked]
    # The sort is stable: equals stay in machine order.
    places.sort(key=lambda place: (-place.rate, -place.broken))
    begin = after or 0
    page = tuple(places[begin : begin + limit])
    broken, years = sum(one.seen.broken for one in asked), sum(one.seen.piece_years for one in asked)
    classes = {one.segment.machine_class for one in asked}
    return CasualtiesAnswer(
        plant=plant,
        kit=kit,
        risk=risk,
        lead_time_days=lead_time_days,
        until=now,
        broken=broken,
        piece_years=round(years, 2),
        note=note(broken, years, kit=kit is not None),
        like=tuple(_like(counts, machine_class) for machine_class in sorted(classes)),
        total=len(places),
        places=page,
        spares=sum(place.spares for place in page),
        picture=None if kit is None else f"/api/kits/{kit}/casualties.svg",
    )


def note(broken: int, piece_years: float, *, kit: bool) -> str:
    """How far the figures carry."""
    where = "this kit" if kit else "this plant"
    seen = f"{broken} broken in {piece_years:.1f} piece-years"
    if broken == 0:
        return (
            f"Nothing broke yet in {where} in {piece_years:.1f} piece-years. The rates are cautious guesses; they say "
            "nothing of one place against another."
        )
    if broken < FEW:
        return f"{seen}: too few to tell one place of {where} from another. Take the order of the list as a hint."
    if broken < 4 * FEW:
        return f"{seen}: the first places of {where} do break more often than most; how much more is not sure."
    return f"{seen} of {where}: enough to tell the worst places from the rest."


def _place(one: Counted, spread: Spread, risk: float, lead_time_days: int) -> PlaceCasualtiesAnswer:
    known = spread.after(one.seen)
    demand = known.demand(one.in_use * lead_time_days / YEAR_DAYS)
    spares = demand.spares(risk)
    low, high = (known.quantile(share) for share in INTERVAL)
    return PlaceCasualtiesAnswer(
        number=one.segment.number,
        place=one.segment.place,
        kit=one.segment.kit,
        assembly=one.segment.assembly_name,
        broken=one.seen.broken,
        piece_years=round(one.seen.piece_years, 2),
        plain_rate=round(one.seen.broken / one.seen.piece_years, 4) if one.seen.piece_years > 0 else None,
        rate=round(known.mean, 4),
        rate_low=round(low, 4),
        rate_high=round(high, 4),
        in_use=one.in_use,
        expected=round(demand.mean, 4),
        spares=spares,
        run_out=round(demand.more_than(spares), 6),
        few_data=one.seen.piece_years < spread.piece_years,
    )


def _like(counts: Counts, machine_class: str) -> LikeMachinesAnswer:
    own = [one.seen for one in counts.segments if one.segment.machine_class == machine_class]
    spread = counts.spreads[machine_class]
    return LikeMachinesAnswer(
        machine_class=machine_class,
        places=len(own),
        broken=sum(seen.broken for seen in own),
        piece_years=round(sum(seen.piece_years for seen in own), 2),
        rate=round(spread.mean, 4),
        weight_piece_years=round(spread.piece_years, 2),
        borrowed=spread.borrowed,
    )
