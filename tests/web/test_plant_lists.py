"""Lists over a plant on pages: pairs with their pictures, places with their rates, forms that come back."""

from __future__ import annotations

import pytest

from service.work.bolts_on_wrong import bolts_on_wrong
from service.work.casualties import plant_casualties
from tests.web.conftest import Desk

PAIRS, PLACES = "/shop/plants/OSV/bolts-on-wrong", "/shop/plants/OSV/casualties"
KIT_PLACES = "/shop/kits/OSV4-FC1-A500/casualties"


def test_each_pair_is_drawn_and_says_why_and_what_helps(desk: Desk) -> None:
    page = desk.client.get(PAIRS)
    assert page.status_code == 200
    facts = bolts_on_wrong(desk.workshop, "OSV", after=None, limit=10)
    assert page.text.count('class="overlay-picture"') == len(facts.pairs) == 10
    for pair in facts.pairs:
        assert pair.picture.split("/")[3] in page.text
        for hole in pair.odd_holes:
            assert f"{hole.edge_mm:g} mm are left" in page.text
    assert f"?after={len(facts.pairs)}" in page.text
    # No style attribute, which the page's security policy would refuse.
    assert "style=" not in page.text


def test_the_next_page_goes_on(desk: Desk) -> None:
    second = desk.client.get(f"{PAIRS}?after=10").text
    assert 'id="pair-11"' in second
    assert 'id="pair-10"' not in second
    assert "No pair here." in desk.client.get(f"{PAIRS}?after=100000").text


def test_places_stand_with_their_figures_and_in_words(desk: Desk) -> None:
    page = desk.client.get(PLACES).text
    facts = plant_casualties(desk.workshop, "OSV", limit=100)
    assert facts.note in page
    assert page.count('data-label="Spares"') == len(facts.places)
    assert "Class FC" in page


def test_the_page_of_a_kit_shows_the_shaded_plan(desk: Desk) -> None:
    page = desk.client.get(KIT_PLACES).text
    assert "broken a year and piece" in page
    assert 'aria-label="How often the parts of kit OSV4-FC1-A500 break' in page


def test_risk_and_lead_time_are_taken_in_per_cent_and_days(desk: Desk) -> None:
    page = desk.client.get(f"{PLACES}?risk=0,5&days=365").text
    assert 'value="0,5"' in page
    wanted = plant_casualties(desk.workshop, "OSV", risk=0.005, lead_time_days=365, limit=100)
    assert f"{wanted.spares} spares in all" in page
    assert wanted.spares > plant_casualties(desk.workshop, "OSV", limit=100).spares


@pytest.mark.parametrize("asked", ["risk=much", "risk=90", "days=0", "days=1e99", "days=nan"])
@pytest.mark.parametrize("page", [PLACES, KIT_PLACES])
def test_what_makes_no_sense_comes_back_in_the_form(desk: Desk, page: str, asked: str) -> None:
    answer = desk.client.get(f"{page}?{asked}")
    assert answer.status_code == 422
    assert f'value="{asked.partition("=")[2]}"' in answer.text


def test_an_unknown_plant_is_said(desk: Desk) -> None:
    assert desk.client.get("/shop/plants/XYZ/bolts-on-wrong").status_code == 404
    assert desk.client.get("/shop/plants/XYZ/casualties").status_code == 404


def test_the_pages_lead_there(desk: Desk) -> None:
    plant = desk.client.get("/shop/plants/OSV").text
    assert f'href="{PAIRS}"' in plant
    assert f'href="{PLACES}"' in plant
    assert f'href="{KIT_PLACES}"' in desk.client.get("/shop/kits/OSV4-FC1-A500").text


@pytest.mark.parametrize("page", [PAIRS, PLACES, KIT_PLACES])
def test_strangers_are_sent_to_sign_in(guarded: Desk, page: str) -> None:
    assert guarded.client.get(page).status_code == 303
