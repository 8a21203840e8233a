"""A nameplate as data from the page of a segment, for signed-in people."""

from __future__ import annotations

import re

from tests.web.conftest import Desk


def test_the_page_of_a_segment_leads_to_its_nameplate_as_data(desk: Desk) -> None:
    number = re.findall(r"/desk/segments/([A-Z0-9-]+)", desk.client.get("/shop/kits/OSV4-FC1-A500").text)[0]
    way = f"/desk/segments/{number}/nameplate.json"
    assert f'href="{way}"' in desk.client.get(f"/desk/segments/{number}").text
    answer = desk.client.get(way)
    assert answer.headers["content-type"] == "application/json"
    assert answer.json()["submodels"][0]["idShort"] == "Nameplate"
    assert number in answer.text
