"""Search for a mark that was said in words."""

from __future__ import annotations

import pytest

from schemas.search import SearchAnswer, SearchRequest
from service.work.search import search
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_U3, issue_small


@pytest.fixture
def shop(stocked: Workshop) -> Workshop:
    """The small kit at Ostrey Vale, and one of the same parts for a bottle of 15 fl oz."""
    issue_small(stocked)
    fifteen = {"code": "A15", "name": "15 fl oz sauce", "nominal": 15, "unit": "fl oz"}
    issue_small(stocked, container=fifteen, stock_colour="blue")
    return stocked


def asked(workshop: Workshop, mark: str, came_by: str | None) -> SearchAnswer:
    return search(workshop, SearchRequest.model_validate({"mark": mark, "came_by": came_by, "limit": 20}))


@pytest.mark.parametrize("came_by", ["ear", None])
@pytest.mark.parametrize(
    "said",
    [
        "oscar sierra victor four, foxtrot charlie one, alpha five hundred, something, uniform three",
        "Otto Siegfried Viktor vier, irgendwas, Anton fünfhundert, Siegfried doppel v zwo, Ulrich drei",
        "A five double zero, S double u two, U three, dash, forty-two",
    ],
)
def test_words_are_signs(shop: Workshop, said: str, came_by: str | None) -> None:
    assert asked(shop, said, came_by).candidates[0].number == NUMBER_U3


def test_fifty_may_have_been_fifteen(shop: Workshop) -> None:
    answer = asked(shop, "oscar sierra victor four foxtrot charlie one alpha fifty sierra whiskey two", "ear")
    first = next(one for one in answer.candidates if "-A15-" in one.number)
    assert "15 heard as 50" in first.assumed


def test_what_is_read_off_a_part_is_no_word(shop: Workshop) -> None:
    """An ``EE`` on a part is a code; said, it would be an E."""
    assert asked(shop, "OSV4 FC1 A500 SW2 U3", "eye").candidates[0].number == NUMBER_U3
    answer = asked(shop, "uniform three", "eye")
    assert answer.ignored or answer.candidates[0].probability < 0.9
