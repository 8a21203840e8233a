"""Which thickness a sheet should have: that of the neighbours where somebody measured it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import Connection

from schemas.answers import KitAnswer
from schemas.requests import ReorderRequest
from service.store import segments
from service.store.values import SegmentRow
from service.work.packet import _sheet
from service.work.reorder import reorder
from service.work.thickness import thickness_to_ask
from service.work.what_locks import what_locks
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4


def row(connection: Connection, number: str) -> SegmentRow:
    found = segments.find_segment(connection, number)
    assert found is not None
    return found


def test_the_neighbours_that_were_measured_say_it(stocked: Workshop, issued: KitAnswer) -> None:
    with stocked.database.read() as connection:
        own, one, other = (row(connection, number) for number in (NUMBER_U3, NUMBER_U2, NUMBER_U4))
    assert thickness_to_ask(own, [one, other]) is None
    thin, thick = replace(one, measured_thickness_mm=24.81), replace(other, measured_thickness_mm=24.84)
    assert thickness_to_ask(own, [thin, other]) == "24.81 mm, as SW2-U2 measured, not the nominal 25 mm"
    assert thickness_to_ask(own, [thin, thick]) == "24.81 mm, as SW2-U2 and SW2-U4 measured, not the nominal 25 mm"
    thicker = replace(other, measured_thickness_mm=25.2)
    assert (
        thickness_to_ask(own, [thin, thicker])
        == "between 24.81 and 25.20 mm, as its neighbours measured (SW2-U2 24.81 mm and SW2-U4 25.20 mm), not the "
        "nominal 25 mm"
    )
    measured = replace(own, measured_thickness_mm=24.7)
    assert thickness_to_ask(measured, [one]) == "24.70 mm, as the segment itself was measured, not the nominal 25 mm"


@pytest.mark.parametrize("survivors", [[NUMBER_U2, NUMBER_U4], [NUMBER_U2]])
def test_the_work_sheet_asks_for_what_was_measured(stocked: Workshop, issued: KitAnswer, survivors: list[str]) -> None:
    with stocked.database.write() as connection:
        segments.correct_segment(connection, row(connection, NUMBER_U4).id, {"measured_thickness_mm": 24.8})
    asked = "24.80 mm, as SW2-U4 measured, not the nominal 25 mm" if NUMBER_U4 in survivors else None
    assert what_locks(stocked, NUMBER_U3, survivors=survivors).thickness == asked
    answer = reorder(
        stocked, ReorderRequest.model_validate({"mark": NUMBER_U3, "reason": "crushed", "survivors": survivors})
    )
    with stocked.database.read() as connection:
        sheet = _sheet(stocked, connection, answer, [])
    assert dict(sheet.stock_rows())["Thickness"] == (asked or "25 mm nominal")
    assert asked is None or any(asked in step for step in replace(sheet, cut_file="x").steps())
