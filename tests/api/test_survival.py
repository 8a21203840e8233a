"""The survival card over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from schemas.answers.survival import SurvivalAnswer
from service.render.damages import DAMAGES
from tests.api.conftest import Visited
from tests.small_kit import NUMBER_U3

ADDRESS = f"/api/segments/{NUMBER_U3}/survival"


@pytest.fixture(scope="module")
def card(visited: Visited) -> Any:
    answer = visited.issued.get(ADDRESS)
    assert answer.status_code == 200
    return answer.json()


def test_it_says_what_each_symbol_bears(card: Any) -> None:
    assert SurvivalAnswer.model_validate(card).number == NUMBER_U3
    assert [damage["name"] for damage in card["damages"]] == [damage.name for damage in DAMAGES]
    assert card["tried"] == len(DAMAGES)
    assert card["wrong"] == []
    for symbol in card["symbols"]:
        read = sum(symbol["index"] in damage["read_by"] for damage in card["damages"])
        assert symbol["share"] == pytest.approx(read / len(DAMAGES), abs=1e-4)
        assert len(symbol["lost"]) == len(DAMAGES) - read
        assert sum(tally["survived"] for tally in symbol["families"]) == read
        assert symbol["carried_by"] == [other["index"] for other in card["symbols"] if other is not symbol]


def test_the_shares_of_the_identity_are_those_of_its_damages(card: Any) -> None:
    how = [damage["identity"] for damage in card["damages"]]
    assert card["share"] == pytest.approx(1 - how.count("lost") / len(how), abs=1e-4)
    assert card["share_of_single_symbols"] == pytest.approx(how.count("symbol") / len(how), abs=1e-4)
    assert card["share"] >= card["floor"] > 0
    for damage in card["damages"]:
        assert (damage["identity"] == "symbol") == bool(damage["read_by"])


def test_nothing_is_written_by_looking(visited: Visited) -> None:
    before = visited.look_issued()
    assert visited.issued.get(ADDRESS).status_code == 200
    assert visited.look_issued() == before


def test_another_template_and_printer_give_another_card(visited: Visited, card: Any) -> None:
    other = visited.issued.get(ADDRESS, params={"template": "tied-tag-80x50", "dpi": 300}).json()
    assert (other["template"], other["dpi"]) == ("tied-tag-80x50", 300)
    assert other["width_mm"] != card["width_mm"]


@pytest.mark.parametrize(
    ("address", "status", "code"),
    [
        (f"{ADDRESS}?template=nothing", 404, "template_unknown"),
        (f"{ADDRESS}?dpi=72", 422, "bad_request"),
        ("/api/segments/P3HW9TCP/survival", 404, "mark_unknown"),
    ],
)
def test_what_cannot_be_shown_is_refused(visited: Visited, address: str, status: int, code: str) -> None:
    refused = visited.issued.get(address)
    assert (refused.status_code, refused.json()["code"]) == (status, code)
