"""``kitwright search`` and ``kitwright measure-outlines``."""

from __future__ import annotations

import json

from schemas.search import SearchAnswer
from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_U3


def test_half_a_number_and_what_the_caller_knows(issued: Terminal) -> None:
    done = issued.run("search", "A5, something, SW", "--tell", "stock_colour=the green one", "--tell", "deck=top")
    assert done.status == 0, done.err
    assert NUMBER_U3 in done.out
    assert "for: deck upper" in done.out
    assert "assumed: head missing" in done.out
    assert "95 % of the likelihood" in done.out


def test_the_next_question_is_put_in_words(issued: Terminal) -> None:
    done = issued.run("search")
    assert "ask:" in done.out
    assert "?" in done.out.split("ask:")[1]


def test_the_answer_of_the_api_as_json(issued: Terminal) -> None:
    done = issued.run("search", NUMBER_U3, "--by", "ear", "--json", "--limit", "1", "--breakages")
    answer = SearchAnswer.model_validate(json.loads(done.out))
    assert [one.number for one in answer.candidates] == [NUMBER_U3]
    assert answer.prior == "breakages"


def test_a_tolerance_is_told_behind_a_tilde(issued: Terminal) -> None:
    done = issued.run("search", "--tell", "overall_length_mm=215~8", "--json", "--limit", "1")
    assert json.loads(done.out)["candidates"][0]["evidence"][0]["answer"] == "215"


def test_what_cannot_be_used_is_left_aside_and_told(issued: Terminal) -> None:
    done = issued.run("search", "--tell", "pockets=a few")
    assert "left aside: pockets 'a few': this is no count" in done.out


def test_a_shop_without_numbers(stocked: Terminal) -> None:
    assert "no number was issued yet" in stocked.run("search", "OSV4").out


def test_a_question_that_is_none_and_an_answer_without_one_are_refused(issued: Terminal) -> None:
    done = issued.run("search", "--tell", "green")
    assert done.status == 1
    assert "parted by =" in done.err
    done = issued.run("search", "--tell", "smell=sweet")
    assert done.status == 1
    assert "question" in done.err


def test_outlines_are_measured_at_release(issued: Terminal) -> None:
    assert "every outline is measured" in issued.run("measure-outlines").out
