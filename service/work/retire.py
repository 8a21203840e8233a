"""Take a kit out of use for good: its numbers stay spent, still resolve, and say that it is retired."""

from __future__ import annotations

from schemas.answers import KitAnswer
from schemas.pieces import RetirementRequest
from service.errors import KitRetired, SegmentShared
from service.store import events, kits, sharing
from service.work.once import NO_RETRY, Retry, once
from service.work.plates import kit_on_record
from service.work.show_kit import kit_answer
from service.work.workshop import SERVICE, Actor, Workshop


def retire_kit(
    workshop: Workshop, number: str, request: RetirementRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> KitAnswer:
    """Retire a kit in one transaction.

    Raises:
        KitUnknown: no such kit.
        KitRetired: it is retired already.
        SegmentShared: kits in use lean on its segments; they are named.
    """
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            kit = kit_on_record(connection, number)
            if kit.retired:
                raise KitRetired(
                    "it is retired already", field="kit", value=kit.number, todo="Look at the kit for when and why"
                )
            leaning = sharing.leaning_on(connection, kit.id)
            if leaning:
                named = dict.fromkeys(row.kit_number for row in leaning)
                parts = dict.fromkeys(row.segment_number for row in leaning)
                raise SegmentShared(
                    f"{', '.join(named)} {'leans' if len(named) == 1 else 'lean'} on {', '.join(parts)}",
                    field="kit",
                    value=kit.number,
                    todo="Give those kits segments of their own, or retire them first",
                )
            now = workshop.now()
            sharing.retire(connection, kit.id, reason=request.reason, at=now)
            kits.raise_version(connection, kit.id, None)
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="retire",
                subject=kit.number,
                before={"status": "issued"},
                after={"status": "retired", "reason": request.reason},
            )
            return kit_answer(connection, kit.number)

        return once(connection, retry, KitAnswer, workshop.now(), work)
