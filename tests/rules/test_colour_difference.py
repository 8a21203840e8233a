"""CIEDE2000 against the published test data and a reference library; the words that callers use for colours."""

from __future__ import annotations

from itertools import product

import pytest
from coloraide import Color
from hypothesis import given, settings
from hypothesis import strategies as st

from service.rules.colour_difference import Lab, ciede2000, lab_of
from service.rules.colours import STOCK_COLOURS, Rgb
from service.rules.evidence_colours import WORDS, colour_said, likelihood

# G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test Data,
# and Mathematical Observations", 2005, table 1; the number of the pair stands in front.
PUBLISHED: list[tuple[int, Lab, Lab, float]] = [
    (1, (50, 2.6772, -79.7751), (50, 0, -82.7485), 2.0425),
    (2, (50, 3.1571, -77.2803), (50, 0, -82.7485), 2.8615),
    (3, (50, 2.8361, -74.0200), (50, 0, -82.7485), 3.4412),
    (4, (50, -1.3802, -84.2814), (50, 0, -82.7485), 1.0000),
    (7, (50, 0, 0), (50, -1, 2), 2.3669),
    (9, (50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
    (11, (50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    (17, (50, 2.5, 0), (73, 25, -18), 27.1492),
    (18, (50, 2.5, 0), (61, -5, 29), 22.8977),
    (19, (50, 2.5, 0), (56, -27, -3), 31.9030),
    (20, (50, 2.5, 0), (58, 24, 15), 19.4535),
    (25, (60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    (33, (6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    (34, (2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]
RGB = st.tuples(*[st.integers(0, 255)] * 3)


@pytest.mark.parametrize(("one", "other", "apart"), [row[1:] for row in PUBLISHED], ids=str)
def test_published_pairs(one: Lab, other: Lab, apart: float) -> None:
    assert ciede2000(one, other) == pytest.approx(apart, abs=5e-5)
    assert ciede2000(other, one) == pytest.approx(apart, abs=5e-5)


@settings(max_examples=150, deadline=None)
@given(one=RGB, other=RGB)
def test_as_a_reference_library_has_it(one: Rgb, other: Rgb) -> None:
    """coloraide, from the same sRGB; it goes by way of D65 as well, with one more digit of the white."""
    theirs = [Color("srgb", [channel / 255 for channel in rgb]).convert("lab-d65") for rgb in (one, other)]
    for rgb, colour in zip((one, other), theirs, strict=True):
        assert lab_of(rgb) == pytest.approx(colour.coords(), abs=0.02)
    assert ciede2000(lab_of(one), lab_of(other)) == pytest.approx(theirs[0].delta_e(theirs[1], method="2000"), abs=0.03)


@pytest.mark.parametrize("colour", STOCK_COLOURS)
def test_what_callers_say_of_a_colour_adds_up_to_one(colour: str) -> None:
    assert sum(likelihood(word, colour) for word in WORDS) == pytest.approx(1)


@pytest.mark.parametrize("colour", STOCK_COLOURS)
def test_the_word_of_a_colour_is_the_likeliest(colour: str) -> None:
    assert max(WORDS, key=lambda word: likelihood(word, colour)) == colour


def test_near_colours_are_mixed_up_and_far_ones_are_not() -> None:
    """Natural plastic is called white often, blue seldom purple, and green next to never red."""
    assert likelihood("white", "natural") > 0.2
    assert likelihood("dark green", "green") > likelihood("blue", "green")
    assert likelihood("purple", "blue") < 0.1
    assert likelihood("red", "green") < 0.01


@pytest.mark.parametrize(("word", "colour"), list(product(("red", "white", "turquoise"), STOCK_COLOURS)))
def test_no_colour_is_ruled_out(word: str, colour: str) -> None:
    assert likelihood(word, colour) > 0.001


def test_dirt_and_wear_are_reckoned_with() -> None:
    """A dirty white part is called natural or grey rather than blue, a faded black one grey."""
    assert likelihood("light grey", "white") > likelihood("blue", "white")
    assert likelihood("grey", "black") + likelihood("dark grey", "black") > 0.02


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("the green one", "green"),
        ("Dark green, I think", "dark green"),
        ("GRAY", "grey"),
        ("undyed", "natural"),
        ("navy", "dark blue"),
        ("it has a colour", None),
    ],
)
def test_the_colour_in_what_is_said(text: str, word: str | None) -> None:
    assert colour_said(text) == word
