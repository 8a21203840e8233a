"""Lists over a plant over HTTP: pages, parameters, pictures."""

from __future__ import annotations

import re

import pytest

from schemas.bolts_on import BoltsOnWrongAnswer
from schemas.casualties import CasualtiesAnswer
from tests.api.conftest import KIT, Visited
from tests.small_kit import NUMBER_U2, NUMBER_U3

PAIRS, PLACES = "/api/plants/osv/bolts-on-wrong", "/api/plants/osv/casualties"


def test_pairs_of_the_small_kit(visited: Visited) -> None:
    answer = BoltsOnWrongAnswer.model_validate(visited.issued.get(PAIRS).json())
    # Every part of the small kit has one hole.
    assert (answer.plant, answer.pairs, answer.total) == ("OSV", (), 0)
    assert answer.without_pattern == answer.parts == 6


def test_parts_with_one_hole_are_not_laid_over_each_other(visited: Visited) -> None:
    refused = visited.issued.get(f"/api/segments/{NUMBER_U3}/over/{NUMBER_U2}.svg")
    assert refused.status_code == 422
    assert refused.json()["code"] == "bad_request"
    assert refused.json()["field"] == "other"


def test_places_page_by_page(visited: Visited) -> None:
    whole = CasualtiesAnswer.model_validate(visited.issued.get(PLACES).json())
    assert whole.total == 6
    found, address = [], f"{PLACES}?limit=4&risk=0.01&lead_time_days=90"
    while address:
        answer = visited.issued.get(address)
        found += [place["number"] for place in answer.json()["places"]]
        assert answer.json()["risk"] == 0.01
        link = re.fullmatch(r'<([^>]+)>; rel="next"', answer.headers.get("Link", ""))
        address = link[1] if link else ""
    assert sorted(found) == sorted(place.number for place in whole.places)


def test_a_kit_and_its_plan(visited: Visited) -> None:
    answer = CasualtiesAnswer.model_validate(visited.issued.get(f"/api/kits/{KIT}/casualties").json())
    assert answer.kit == KIT
    assert answer.picture is not None
    picture = visited.issued.get(answer.picture)
    assert picture.headers["content-type"] == "image/svg+xml"
    assert all(f"{place.rate:.2f}" in picture.text for place in answer.places)


@pytest.mark.parametrize("asked", ["risk=0.7", "risk=nan", "lead_time_days=0", "lead_time_days=4000", "after=-1"])
def test_what_makes_no_sense_is_refused(visited: Visited, asked: str) -> None:
    answer = visited.issued.get(f"{PLACES}?{asked}")
    assert answer.status_code == 422
    assert answer.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("address", ["/api/plants/XYZ/casualties", "/api/plants/XYZ/bolts-on-wrong"])
def test_an_unknown_plant_is_said(visited: Visited, address: str) -> None:
    answer = visited.issued.get(address)
    assert (answer.status_code, answer.json()["code"]) == (404, "place_unknown")
