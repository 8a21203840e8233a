"""Surveys of machines, kept as revisions, and who held a kit against them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, select

from service.rules.survey import Dimension, Survey
from service.store.database import next_id
from service.store.tables import Kit, MachineSurvey, ReuseCheck, SurveyDimension, table_of


@dataclass(frozen=True, slots=True)
class SurveyRow:
    """A survey as it was recorded."""

    id: int
    ordinal: int
    surveyed_at: str
    recorded_at: str
    surveyed_by: str
    note: str
    newest_kit_id: int
    dimensions: tuple[Dimension, ...]

    @property
    def survey(self) -> Survey:
        """What the rules look at."""
        return Survey(self.ordinal, self.surveyed_at, self.newest_kit_id, self.dimensions)


def surveys_of(connection: Connection, machine_id: int) -> tuple[SurveyRow, ...]:
    """The surveys of a machine in the order in which they were recorded."""
    rows = connection.execute(
        select(
            MachineSurvey.id,
            MachineSurvey.ordinal,
            MachineSurvey.surveyed_at,
            MachineSurvey.recorded_at,
            MachineSurvey.surveyed_by,
            MachineSurvey.note,
            MachineSurvey.newest_kit_id,
        )
        .where(MachineSurvey.machine_id == machine_id)
        .order_by(MachineSurvey.ordinal)
    ).all()
    if not rows:
        return ()
    stated: dict[int, list[Dimension]] = {row[0]: [] for row in rows}
    dimensions = connection.execute(
        select(
            SurveyDimension.survey_id,
            SurveyDimension.name,
            SurveyDimension.figure,
            SurveyDimension.word,
            SurveyDimension.grade,
        )
        .join(MachineSurvey, MachineSurvey.id == SurveyDimension.survey_id)
        .where(MachineSurvey.machine_id == machine_id)
        .order_by(SurveyDimension.survey_id, SurveyDimension.name)
    )
    for survey_id, name, figure, word, grade in dimensions:
        stated[survey_id].append(Dimension(name, figure if figure is not None else word or "", grade))
    return tuple(SurveyRow(*row, tuple(stated[row[0]])) for row in rows)


def add_survey(
    connection: Connection,
    *,
    machine_id: int,
    surveyed_at: str,
    recorded_at: str,
    surveyed_by: str,
    note: str,
    dimensions: Sequence[Dimension],
) -> int:
    """Record a survey; its ordinal, the next of the machine."""
    highest = connection.scalar(
        select(func.coalesce(func.max(MachineSurvey.ordinal), 0)).where(MachineSurvey.machine_id == machine_id)
    )
    ordinal, id_ = int(highest or 0) + 1, next_id(connection, MachineSurvey)
    connection.execute(
        insert(table_of(MachineSurvey)),
        {
            "id": id_,
            "machine_id": machine_id,
            "ordinal": ordinal,
            "surveyed_at": surveyed_at,
            "recorded_at": recorded_at,
            "surveyed_by": surveyed_by,
            "note": note,
            "newest_kit_id": connection.scalar(select(func.coalesce(func.max(Kit.id), 0))),
        },
    )
    connection.execute(
        insert(table_of(SurveyDimension)),
        [
            {
                "survey_id": id_,
                "name": dimension.name,
                "figure": None if isinstance(dimension.value, str) else dimension.value,
                "word": dimension.value if isinstance(dimension.value, str) else None,
                "grade": dimension.grade,
            }
            for dimension in dimensions
        ],
    )
    return ordinal


def checked_with(connection: Connection, kit_id: int) -> int:
    """The ordinal of the newest survey that somebody held a kit against; 0 when nobody did."""
    query = (
        select(func.max(MachineSurvey.ordinal))
        .join(ReuseCheck, ReuseCheck.survey_id == MachineSurvey.id)
        .where(ReuseCheck.kit_id == kit_id)
    )
    return connection.scalar(query) or 0


def add_reuse_check(
    connection: Connection, *, kit_id: int, survey_id: int, checked_by: str, checked_at: str, note: str
) -> None:
    """Record that a kit was held against a survey and still fits."""
    connection.execute(
        insert(table_of(ReuseCheck)),
        {
            "id": next_id(connection, ReuseCheck),
            "kit_id": kit_id,
            "survey_id": survey_id,
            "checked_by": checked_by,
            "checked_at": checked_at,
            "note": note,
        },
    )
