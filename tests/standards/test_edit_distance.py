"""The distance between codes, with every edit at 1, is the optimal string alignment distance of the literature."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.confusable import PLAIN, WEIGHED, Weights, distance
from service.numbering.weights import SIGNS

CODES = st.text(alphabet="AB5S0OM", max_size=5) | st.text(alphabet=SIGNS, max_size=5)


@pytest.mark.parametrize(
    ("first", "second", "edits"),
    [
        ("kitten", "sitting", 3),  # Wikipedia, Levenshtein distance; from memory and the same in many textbooks
        ("saturday", "sunday", 3),  # Wikipedia, Levenshtein distance, from memory
        # Wikipedia, Damerau-Levenshtein distance, optimal string alignment: CA, A, AB, ABC, as nothing is edited twice
        ("CA", "ABC", 3),
        ("CA", "AC", 1),
        ("AC", "ABC", 1),  # with the two lines above: no triangle law
        ("", "abc", 3),
    ],
)
def test_published_examples(first: str, second: str, edits: int) -> None:
    assert distance(first, second, PLAIN) == edits


def by_definition(first: str, second: str, weights: Weights) -> int:
    """The definition, from the beginning of both codes on: try every edit, take the cheapest rest."""

    @cache
    def rest(i: int, j: int) -> int:
        ways = []
        if i == len(first) and j == len(second):
            return 0
        if i < len(first):
            ways.append(weights.gap(first, i) + rest(i + 1, j))
        if j < len(second):
            ways.append(weights.gap(second, j) + rest(i, j + 1))
        if i < len(first) and j < len(second):
            ways.append(weights.substitution(first[i], second[j]) + rest(i + 1, j + 1))
        pair, other = first[i : i + 2], second[j : j + 2]
        if len(pair) == 2 and pair == other[::-1] and pair != other:
            ways.append(weights.swap + rest(i + 2, j + 2))
        return min(ways)

    return rest(0, 0)


@pytest.mark.parametrize("weights", [PLAIN, WEIGHED], ids=["plain", "weighed"])
@given(first=CODES, second=CODES)
@settings(max_examples=200)
def test_it_is_what_the_definition_says(weights: Weights, first: str, second: str) -> None:
    assert distance(first, second, weights) == by_definition(first, second, weights)
