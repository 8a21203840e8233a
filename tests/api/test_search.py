"""``POST /api/search``."""

from __future__ import annotations

from typing import Any

import pytest

from schemas.search_examples import SEARCH_EXAMPLES
from tests.api.conftest import Visited
from tests.small_kit import NUMBER_U3


def ask(visited: Visited, **body: object) -> Any:
    answer = visited.issued.post("/api/search", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_the_request_of_the_reference_finds_its_segment(visited: Visited) -> None:
    answer = ask(visited, **SEARCH_EXAMPLES["SearchRequest"])
    assert NUMBER_U3 in [one["number"] for one in answer["candidates"]]
    assert answer["consistent"] >= 1


def test_the_picture_of_a_candidate_is_to_be_had(visited: Visited) -> None:
    candidate = ask(visited, mark=NUMBER_U3)["candidates"][0]
    assert candidate["number"] == NUMBER_U3
    picture = visited.issued.get(candidate["picture"])
    assert picture.status_code == 200
    assert picture.headers["content-type"].startswith("image/svg+xml")


def test_the_dialogue_goes_on_until_one_is_left(visited: Visited) -> None:
    """The question that is asked is answered, and asked no more."""
    evidence: list[dict[str, str]] = []
    bits = []
    for _ in range(3):
        answer = ask(visited, mark="SW2", evidence=evidence)
        bits.append(answer["entropy_bits"])
        question = answer["next_question"]
        if question is None:
            break
        assert question["question"] not in {one["question"] for one in evidence}
        evidence.append({"question": question["question"], "answer": question["answers"][0]["answer"]})
    assert bits[-1] < bits[0]


def test_nothing_is_put_on_record(visited: Visited) -> None:
    before = visited.look_issued()
    ask(visited, mark="SW2", evidence=[{"question": "deck", "answer": "upper"}])
    assert visited.look_issued() == before


@pytest.mark.parametrize(
    "body",
    [
        {"evidence": [{"question": "smell", "answer": "sweet"}]},
        {"evidence": [{"question": "deck"}]},
        {"evidence": [{"question": "thickness_mm", "answer": "25", "tolerance_mm": -1}]},
        {"limit": 0},
        {"came_by": "nose"},
        {"mark": "x" * 600},
        {"prior": "gut"},
    ],
    ids=str,
)
def test_what_is_no_search_is_refused_by_its_field(visited: Visited, body: dict[str, object]) -> None:
    answer = visited.issued.post("/api/search", json=body)
    assert answer.status_code == 422
    assert answer.json()["code"] == "bad_fields"


def test_an_answer_that_cannot_be_used_is_no_error(visited: Visited) -> None:
    answer = ask(visited, mark="§", evidence=[{"question": "pockets", "answer": "a few"}])
    assert [one["question"] for one in answer["ignored"]] == ["mark", "pockets"]
