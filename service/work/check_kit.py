"""A kit held against the machine as the surveys describe it now, and found to fit."""

from __future__ import annotations

from schemas.answers import KitAnswer
from schemas.machines import ReuseCheckRequest
from service.errors import Contradiction
from service.store import events, surveys
from service.work.once import NO_RETRY, Retry, once
from service.work.plates import kit_on_record
from service.work.reuse import reasons_to_check
from service.work.show_kit import kit_answer
from service.work.workshop import SERVICE, Actor, Workshop


def check_kit(
    workshop: Workshop,
    number: str,
    request: ReuseCheckRequest,
    *,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> KitAnswer:
    """Record that a kit was held against its machine; the surveys up to now are no reason to check it any more.

    Raises:
        KitUnknown: not on record.
        Contradiction: no survey of its machine is on record to hold it against.
    """
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            kit = kit_on_record(connection, number)
            found = surveys.surveys_of(connection, kit.machine.id)
            if not found:
                raise Contradiction(
                    "no survey of this machine is on record",
                    field="kit",
                    value=kit.number,
                    todo="Record a survey of the machine first",
                )
            before = reasons_to_check(connection, kit)
            now, by = workshop.now(), request.by or actor.name
            surveys.add_reuse_check(
                connection, kit_id=kit.id, survey_id=found[-1].id, checked_by=by, checked_at=now, note=request.note
            )
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="check",
                subject=kit.number,
                before={"check_before_reuse": before},
                after={"survey": found[-1].ordinal, "by": by, "note": request.note, "check_before_reuse": []},
            )
            return kit_answer(connection, kit.number)

        return once(connection, retry, KitAnswer, workshop.now(), work)
