"""Open work for a shop's own planning: every order that is neither fitted nor cancelled, as rows and as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection

from sqlalchemy import Connection

from schemas.open_work import OpenWorkAlsoAnswer, OpenWorkAnswer, OpenWorkRowAnswer
from service.rules.order_states import State
from service.store import reorders, segments
from service.store.values import ReorderRow, SegmentRow
from service.work.order_log import ask_fitted_at
from service.work.reorder import reorder_answer
from service.work.workshop import Workshop

COLUMNS = (
    "order",
    "report",
    "number",
    "key",
    "plant",
    "place",
    "cut_file",
    "revision",
    "sha256",
    "material",
    "stock_colour",
    "thickness_mm",
    "mass_kg",
    "quantity",
    "state",
    "since",
    "ordered_at",
    "promised_on",
    "ask_fitted",
    "also_cut",
)
"""The columns of the table, in order."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def open_work(
    workshop: Workshop,
    *,
    states: Collection[State] = (),
    plant: str | None = None,
    ask_fitted: bool | None = None,
) -> OpenWorkAnswer:
    """Every open order, the oldest first.

    Args:
        workshop: the records.
        states: only orders at one of these; all open ones when there are none.
        plant: only orders of the plant with this code, in any letter case.
        ask_fitted: only orders of which the plant is to be asked, or only others.
    """
    now = workshop.now()
    with workshop.database.read() as connection:
        found = [row for row in _rows(connection, now) if not states or row.state in states]
    if plant is not None:
        found = [row for row in found if row.plant == plant.strip().upper()]
    if ask_fitted is not None:
        found = [row for row in found if row.ask_fitted == ask_fitted]
    return OpenWorkAnswer(at=now, rows=tuple(found))


def open_work_csv(answer: OpenWorkAnswer) -> str:
    """The same as a table (RFC 4180), neighbours parted by semicolons; texts that a spreadsheet would run are quoted.

    A text that begins like a formula gets an apostrophe in front, which spreadsheets show as text (OWASP, "CSV
    Injection"). Numbers are written as numbers.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for row in answer.rows:
        values = row.model_dump()
        values["ask_fitted"] = "yes" if row.ask_fitted else "no"
        values["also_cut"] = "; ".join(
            f"{one.number} {one.cut_file} revision {one.revision} {one.sha256}" for one in row.also_cut
        )
        writer.writerow([_cell(values[name]) for name in COLUMNS])
    return stream.getvalue()


def _cell(value: object) -> object:
    if value is None:
        return ""
    # A lone sign, such as the dash of a first release, is no formula.
    runs = isinstance(value, str) and len(value) > 1 and value.startswith(_FORMULA)
    return f"'{value}" if runs else value


def _rows(connection: Connection, now: str) -> list[OpenWorkRowAnswer]:
    rows = reorders.all_open(connection)
    of = segments.segments_by_ids(connection, {row.segment_id for row in rows})
    return [_row(row, of[row.segment_id], now) for row in rows]


def _row(row: ReorderRow, segment: SegmentRow, now: str) -> OpenWorkRowAnswer:
    answer = reorder_answer(row)
    asked_at = ask_fitted_at(row)
    return OpenWorkRowAnswer(
        order=row.id,
        report=row.report_id,
        number=row.number,
        key=row.new_key,
        plant="".join(char for char in segment.number.partition("-")[0] if char.isalpha()),
        place=segment.place,
        cut_file=row.cut_file,
        revision=row.revision,
        sha256=row.sha256,
        material=segment.material,
        stock_colour=segment.stock_colour,
        thickness_mm=segment.thickness_mm,
        mass_kg=round(segment.mass_kg, 3),
        quantity=row.quantity,
        state=answer.state,
        since=answer.since,
        ordered_at=row.ordered_at,
        promised_on=row.promised_on,
        ask_fitted=asked_at is not None and asked_at <= now,
        also_cut=tuple(
            OpenWorkAlsoAnswer(number=also.number, cut_file=also.cut_file, revision=also.revision, sha256=also.sha256)
            for also in answer.also_cut
        ),
    )
