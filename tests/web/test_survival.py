"""The page of a mark: what it bears, and what says which piece it is when a symbol is lost."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Desk
from tests.web.parts import a_piece


@pytest.fixture(scope="module")
def number(desk: Desk) -> str:
    return a_piece(desk.workshop).number


@pytest.fixture(scope="module")
def shown(desk: Desk, number: str) -> str:
    answer = desk.client.get(f"/shop/marks/{number}")
    assert answer.status_code == 200
    return answer.text


def test_the_segment_leads_there(desk: Desk, number: str) -> None:
    assert f'href="/shop/marks/{number}"' in desk.client.get(f"/desk/segments/{number}").text


def test_every_symbol_has_its_number_on_the_plate_and_a_card_below(shown: str) -> None:
    count = shown.count('class="survival-symbol"')
    assert count >= 3
    assert shown.count("symbol-card") == count
    assert shown.count("<strong>If it is lost:</strong>") == count


def test_each_bar_says_in_figures_what_it_shows(shown: str) -> None:
    bars = re.findall(r'<rect width="([\d.]+)" height="10"/></svg><span class="figure">(\d+) of (\d+)</span>', shown)
    assert len(bars) == shown.count('class="bar"') > 20
    for width, survived, tried in bars:
        assert float(width) == pytest.approx(100 * int(survived) / int(tried), abs=0.01)


def test_nothing_of_the_picture_is_styled_in_a_way_that_the_policy_refuses(shown: str) -> None:
    assert " style=" not in shown


def test_another_format_and_printer_can_be_chosen(desk: Desk, number: str) -> None:
    page = desk.client.get(f"/shop/marks/{number}?template=tied-tag-80x50&dpi=300").text
    assert '<option value="tied-tag-80x50" selected>' in page
    assert '<option value="300" selected>' in page


@pytest.mark.parametrize(
    ("address", "status"), [("?template=nothing", 404), ("?dpi=72", 422), ("?dpi=many", 422), ("x", 404)]
)
def test_what_cannot_be_shown_is_a_page_too(desk: Desk, number: str, address: str, status: int) -> None:
    refused = desk.client.get(f"/shop/marks/{number}{address}")
    assert refused.status_code == status
    assert refused.text.startswith("<!doctype html>") or "<html" in refused.text


def test_strangers_are_sent_to_the_sign_in_page(guarded: Desk, number: str) -> None:
    answer = guarded.client.get(f"/shop/marks/{number}")
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in")
