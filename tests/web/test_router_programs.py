"""The program for a router from the page of a segment."""

from __future__ import annotations

import pytest

from tests.web.conftest import Desk
from tests.web.parts import number_at


def test_the_page_offers_every_engraving_tool_and_the_program_comes_as_a_file(own_desk: Desk) -> None:
    number = number_at(own_desk.workshop, "SW2-U3")
    text = own_desk.client.get(f"/desk/segments/{number}").text
    assert 'value="metric:2"' in text
    assert 'value="inch-single-spindle:1"' in text
    assert 'value="metric:10"' not in text, "a profile cutter engraves nothing"
    asked = {"tool": "inch-single-spindle:1", "profile": "yes", "zero": "drawing"}
    answer = own_desk.client.post(f"/desk/segments/{number}/program", data=asked)
    assert answer.status_code == 200
    assert f'filename="{number}.tap"' in answer.headers["content-disposition"]
    assert "; outside contour" in answer.text
    assert "the origin of the cut file" in answer.text


@pytest.mark.parametrize("tool", ["", "metric", "metric:77", "none:1", "metric:-1", "metric:99999999999999999999"])
def test_a_tool_that_the_shop_does_not_have_is_named(desk: Desk, tool: str) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    answer = desk.client.post(f"/desk/segments/{number}/program", data={"tool": tool})
    assert answer.status_code == 404
    assert "No such router or tool" in answer.text
