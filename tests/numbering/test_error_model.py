"""Laws of the error model, and what it has to know about signs that are mixed up."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.numbering.alike import SIGN_CLASSES
from service.numbering.ear_confusions import between_languages, name_distance
from service.numbering.error_model import CameBy, error_model
from service.numbering.keyboard_slips import LAYOUTS, key_places, mistyped
from service.numbering.weights import SIGNS

WAYS = st.sampled_from([*CameBy, None])
MODELS = {way: error_model(way) for way in (*CameBy, None)}  # worked out before any test is timed
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def share(cost: float) -> float:
    return math.exp(-cost)


@given(way=WAYS, true=st.sampled_from(SIGNS))
def test_what_becomes_of_a_sign_adds_up_to_one(way: CameBy | None, true: str) -> None:
    model = error_model(way)
    others = sum(share(model.substitution(read, true)) for read in SIGNS if read != true)
    assert share(model.same(true)) + others + share(model.lost(true)) == pytest.approx(1)


@given(way=WAYS, true=st.sampled_from(SIGNS))
def test_right_is_likelier_than_any_one_slip_but_for_signs_of_one_sound(way: CameBy | None, true: str) -> None:
    model = error_model(way)
    slips = [model.substitution(read, true) for read in SIGNS if read != true]
    assert model.same(true) < min(*slips, model.lost(true), model.swapped, model.added, model.doubled(true))
    assert model.substitution(true, true) == model.same(true)
    assert all(math.isfinite(cost) and cost > 0 for cost in (*slips, model.lost_head, model.lost_tail))


@given(way=WAYS, other=st.sampled_from("ß漢ÄжA"))
def test_signs_of_legacy_marks_have_costs_too(way: CameBy | None, other: str) -> None:
    model = error_model(way)
    assert model.same(other) < model.substitution("X", other)
    assert math.isfinite(model.lost(other) + model.doubled(other) + model.substitution(other, "X"))


def test_where_nobody_said_the_ways_are_mixed() -> None:
    mixed = error_model(None)
    for true, read in ("0O", "BD", "QW", "PF"):
        ways = [share(error_model(way).substitution(read, true)) for way in CameBy]
        assert share(mixed.substitution(read, true)) == pytest.approx(sum(ways) / 3)


def nearest(way: CameBy, true: str, count: int) -> set[str]:
    model = error_model(way)
    return set(
        sorted((sign for sign in SIGNS if sign != true), key=lambda read: model.substitution(read, true))[:count]
    )


@pytest.mark.parametrize("pair", ["OC", "OQ", "PF", "RP", "TI", "EF", "0D", "53", "1I", "69", "UD"])
def test_strokes_worn_off_turn_a_sign_into_its_look_alike(pair: str) -> None:
    assert pair[1] in nearest(CameBy.EYE, pair[0], 8) or pair[0] in nearest(CameBy.EYE, pair[1], 8)


# Pairs named as hardest by R. Cole and M. Fanty, Spoken Letter Recognition, DARPA Speech and Natural Language Workshop
# 1990, and by M. Fanty, R. Cole and K. Roginski, NIPS 4, 1991, as cited in service/numbering/weights.py; 5 and 9 from
# ICAO Annex 10, from memory; English and German callers, 2 and 3 in German from memory.
@pytest.mark.parametrize("pair", ["BD", "BP", "DT", "PT", "VZ", "FS", "MN", "GD", "0O"])
def test_names_that_sound_alike_are_mixed_up(pair: str) -> None:
    assert pair[1] in nearest(CameBy.EAR, pair[0], 6)
    assert pair[0] in nearest(CameBy.EAR, pair[1], 6)


@pytest.mark.parametrize(
    ("language", "pair"), [("English", "59"), ("English", "A8"), ("English", "CZ"), ("German", "23"), ("Polish", "59")]
)
def test_known_pairs_of_one_language(language: str, pair: str) -> None:
    heard = between_languages(language, language, pair[0])
    ranked = sorted(heard, key=lambda sign: -heard[sign])
    assert pair[1] in ranked[1:4]


def test_letters_between_languages() -> None:
    """A German I is an English E, a German E is an English A or E, an English A is a German E; by their sounds."""
    assert max(between_languages("German", "English", "I").items(), key=lambda one: one[1])[0] == "E"
    german_e = between_languages("English", "German", "E")
    assert max(german_e, key=lambda sign: german_e[sign]) == "I"


def test_english_letters_are_heard_as_well_as_listeners_heard_them_on_the_telephone() -> None:
    """93 of 100: M. Fanty, R. Cole and K. Roginski, NIPS 4, 1991."""
    right = [between_languages("English", "English", letter, LETTERS)[letter] for letter in LETTERS]
    assert sum(right) / len(right) == pytest.approx(0.93, abs=0.01)


@given(one=st.text("pbtdkgaeiou", max_size=5), other=st.text("pbtdkgaeiou", max_size=5))
def test_the_distance_of_names_is_symmetric(one: str, other: str) -> None:
    assert name_distance(one, other) == pytest.approx(name_distance(other, one))
    assert (name_distance(one, other) == 0) == (one == other)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_sign_has_one_key(layout: str) -> None:
    places = key_places(layout)
    assert set(places) == set(SIGNS)
    assert len(set(places.values())) == len(SIGNS)


@given(true=st.sampled_from(SIGNS))
def test_most_wrong_keys_are_neighbours(true: str) -> None:
    shares = mistyped(true)
    assert sum(shares.values()) == pytest.approx(1)
    places = key_places("QWERTY")
    near = [sign for sign in shares if math.dist(places[sign], places[true]) < 1.5]
    assert min(shares[sign] for sign in near) >= min(shares.values())
    assert sum(sorted(shares.values())[-8:]) > 0.5


@pytest.mark.parametrize("signs", SIGN_CLASSES)
def test_look_alikes_of_the_reader_are_no_rarer_than_chance(signs: str) -> None:
    """Common practice, no source: the classes by which the reader of marks settles a sign by its place."""
    model = error_model(CameBy.EYE)
    chance = model.substitution("Z", "M")
    for one in signs:
        assert min(model.substitution(other, one) for other in signs if other != one) <= chance
