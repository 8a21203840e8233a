"""Stock colours: each reads with its ink, and each has a shape of its own."""

from __future__ import annotations

from itertools import combinations

import pytest
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from service.errors import UnknownCode
from service.rules.colours import (
    MIN_CONTRAST,
    OTHER_WORDS,
    STOCK_COLOURS,
    Shape,
    StockColour,
    best_ink,
    contrast_ratio,
    stock_colour,
)


def area_of(shape: Shape) -> BaseGeometry:
    return unary_union([Polygon(points) for points in shape.polygons])


def likeness(one: BaseGeometry, other: BaseGeometry) -> float:
    """Intersection over union of two shapes, each centred in the unit square."""
    return float(one.intersection(other).area / one.union(other).area)


@pytest.mark.parametrize("colour", STOCK_COLOURS.values(), ids=lambda colour: colour.word)
def test_word_and_shape_read_on_their_colour(colour: StockColour) -> None:
    assert contrast_ratio(colour.rgb, colour.ink_rgb) >= MIN_CONTRAST


@pytest.mark.parametrize("word", STOCK_COLOURS)
def test_shapes_are_simple_polygons_inside_the_unit_square(word: str) -> None:
    shape = STOCK_COLOURS[word].shape
    for points in shape.polygons:
        assert points[0] != points[-1]
        assert Polygon(points).is_valid
        assert box(0, 0, 1, 1).covers(Polygon(points))
    assert sum(Polygon(points).area for points in shape.polygons) == pytest.approx(area_of(shape).area)


def test_a_shape_belongs_to_one_colour_however_the_mark_hangs() -> None:
    for one, other in combinations(STOCK_COLOURS.values(), 2):
        assert one.shape.name != other.shape.name
        for angle_deg in (0, 90, 180, 270):
            turned = affinity.rotate(area_of(other.shape), angle_deg, origin=(0.5, 0.5))
            assert likeness(area_of(one.shape), turned) < 0.75, (one.word, other.word, angle_deg)


@pytest.mark.parametrize("text", ["green", " Green ", "GREEN"])
def test_a_colour_is_found_in_any_letter_case(text: str) -> None:
    assert stock_colour(text).word == "green"


@pytest.mark.parametrize(("other", "word"), OTHER_WORDS.items())
def test_other_words_mean_a_stock_colour(other: str, word: str) -> None:
    assert stock_colour(other.upper()) is STOCK_COLOURS[word]


@pytest.mark.parametrize("text", ["", "octarine", "#007a48", "green blue"])
def test_an_unknown_word_is_refused_with_the_words_that_would_do(text: str) -> None:
    with pytest.raises(UnknownCode) as caught:
        stock_colour(text)
    assert caught.value.field == "stock_colour"
    assert "natural, white, black" in caught.value.todo


def test_hex_is_the_rgb_in_sixteens() -> None:
    assert stock_colour("green").hex == "#007644"


def test_the_better_ink_is_chosen() -> None:
    assert best_ink((255, 255, 0)) == "black"
    assert best_ink((0, 0, 128)) == "white"
