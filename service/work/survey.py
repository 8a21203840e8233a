"""Survey a machine: every survey is kept, the newest word on a dimension counts, kits made before are named."""

from __future__ import annotations

from collections.abc import Iterator

from schemas.answers.machines import SurveyAnswer
from schemas.machines import SurveyRequest
from service.numbering.tables import CodeTables
from service.rules.survey import DECK_HEIGHT, Dimension
from service.store import codes, events, placements, surveys
from service.work.machines_shown import survey_answer
from service.work.move import past
from service.work.once import NO_RETRY, Retry, once
from service.work.reuse import kits_to_check
from service.work.where import machine_on_record
from service.work.workshop import SERVICE, Actor, Workshop


def survey_machine(
    workshop: Workshop, designation: str, request: SurveyRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> SurveyAnswer:
    """Record a survey. One that disagrees with itself is kept, and says so in its findings.

    Raises:
        MachineUnknown: not on record.
        UnknownCode: a deck that stands in no table.
        BadRequest: it was made in the future.
    """
    with workshop.database.write() as connection:

        def work() -> SurveyAnswer:
            record, now = machine_on_record(connection, designation), workshop.now()
            dimensions = tuple(_dimensions(request, codes.code_tables(connection)))
            before = [row.ordinal for row in surveys.surveys_of(connection, record.machine.id)]
            surveys.add_survey(
                connection,
                machine_id=record.machine.id,
                surveyed_at=past(request.surveyed_at, now, field="surveyed_at"),
                recorded_at=now,
                surveyed_by=request.by or actor.name,
                note=request.note,
                dimensions=dimensions,
            )
            row = surveys.surveys_of(connection, record.machine.id)[-1]
            kits = placements.kits_of_machines(connection, [record.machine.id])[record.machine.id]
            answer = survey_answer(row, record.machine.rotation).model_copy(
                update={"check_before_reuse": kits_to_check(connection, kits)}
            )
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="survey",
                subject=record.designation,
                before={"revision": before[-1] if before else None},
                after=answer.model_dump(mode="json"),
            )
            return answer

        return once(connection, retry, SurveyAnswer, workshop.now(), work)


def _dimensions(request: SurveyRequest, tables: CodeTables) -> Iterator[Dimension]:
    for name in ("rotation", "infeed_hand", "pitch_mm", "pocket_count", "pitch_diameter_mm"):
        stated = getattr(request, name)
        if stated is not None:
            value = stated.value if isinstance(stated.value, str) else float(stated.value)
            yield Dimension(name, value, stated.grade)
    for deck, height in request.deck_heights_mm.items():
        tables.name_of("deck", deck, place=f"deck_heights_mm.{deck}")
        yield Dimension(f"{DECK_HEIGHT}{deck}", height.value, height.grade)
