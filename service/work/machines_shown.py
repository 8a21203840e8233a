"""From records of machines to the answers that cross the edge."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection

from schemas.answers import FindingAnswer
from schemas.answers.machines import DimensionAnswer, NameAnswer, PlaceAnswer, SameInterfaceAnswer, SurveyAnswer
from service.rules.survey import Dimension, disagreements, in_order, turns_otherwise
from service.store import placements
from service.store.interfaces import SameInterfaceRow
from service.store.place_names import NameRow
from service.store.placements import BEGINNING, PlaceRow
from service.store.surveys import SurveyRow
from service.work.shown import finding_answers


def since_or_none(moment: str) -> str | None:
    """A beginning as it is told: null for one that nobody wrote down."""
    return None if moment == BEGINNING else moment


def place_answer(place: PlaceRow) -> PlaceAnswer:
    """A line and its plant."""
    return PlaceAnswer(
        plant_code=place.plant.code, plant=place.plant.name, line_ordinal=place.line.ordinal, line=place.line.name
    )


def name_answers(rows: Collection[NameRow]) -> tuple[NameAnswer, ...]:
    """The names of a place, the first one first."""
    return tuple(NameAnswer(name=row.name, since=since_or_none(row.since_at), until=row.until_at) for row in rows)


def dimension_answer(dimension: Dimension) -> DimensionAnswer:
    """One thing that a survey states."""
    return DimensionAnswer.model_validate({"name": dimension.name, "value": dimension.value, "grade": dimension.grade})


def disagreement_answers(dimensions: Collection[Dimension], rotation: str | None) -> tuple[FindingAnswer, ...]:
    """Where dimensions disagree among themselves, and with the rotation that marks of the machine show."""
    return finding_answers((*disagreements(dimensions), *turns_otherwise(dimensions, rotation)))


def survey_answer(row: SurveyRow, rotation: str | None) -> SurveyAnswer:
    """A survey with what it says against itself, and against the rotation that marks of the machine show."""
    return SurveyAnswer(
        revision=row.ordinal,
        surveyed_at=row.surveyed_at,
        recorded_at=row.recorded_at,
        by=row.surveyed_by,
        note=row.note,
        dimensions=tuple(dimension_answer(dimension) for dimension in in_order(row.dimensions)),
        findings=disagreement_answers(row.dimensions, rotation),
    )


def interface_answers(connection: Connection, rows: Collection[SameInterfaceRow]) -> tuple[SameInterfaceAnswer, ...]:
    """Words about machines, with the designations of both."""
    ids = {id_ for row in rows for id_ in (row.first_machine_id, row.second_machine_id)}
    names = {record.machine.id: record.designation for record in placements.machines_by_ids(connection, ids)}
    return tuple(
        SameInterfaceAnswer(
            id=row.id,
            machines=(names[row.first_machine_id], names[row.second_machine_id]),
            assembly=row.assembly,
            interface=row.interface,
            note=row.note,
            by=row.recorded_by,
            recorded_at=row.recorded_at,
            withdrawn_at=row.withdrawn_at,
            withdrawn_reason=row.withdrawn_reason,
        )
        for row in rows
    )
