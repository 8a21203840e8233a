"""With every slip at 1 and nothing broken off, the alignment is the edit distance of the literature.

RapidFuzz (https://rapidfuzz.github.io/RapidFuzz/) reckons the Levenshtein, the optimal string alignment and the
Damerau-Levenshtein distance on its own; the alignment touches nothing twice, so the last is only a bound for it.
"""

from __future__ import annotations

import math
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import OSA, DamerauLevenshtein, Levenshtein

from service.numbering.alignment import aligned_cost
from service.numbering.error_model import error_model
from service.numbering.weights import SIGNS

TEXTS = st.text(alphabet="AB5S", max_size=9) | st.text(alphabet=SIGNS, max_size=12)
UNIT = replace(
    error_model(None),
    readings={true: {read: float(read != true) for read in SIGNS} for true in SIGNS},
    losses=dict.fromkeys(SIGNS, 1.0),
    doublings=dict.fromkeys(SIGNS, 1.0),
    added=1.0,
    swapped=1.0,
    lost_head=math.inf,
    lost_tail=math.inf,
)
NO_SWAPS = replace(UNIT, swapped=math.inf)


@given(read=TEXTS, true=TEXTS)
@settings(max_examples=400)
def test_it_is_the_optimal_string_alignment_distance(read: str, true: str) -> None:
    assert aligned_cost(read, true, UNIT) == OSA.distance(read, true)


@given(read=TEXTS, true=TEXTS)
@settings(max_examples=400)
def test_without_swaps_it_is_the_levenshtein_distance(read: str, true: str) -> None:
    assert aligned_cost(read, true, NO_SWAPS) == Levenshtein.distance(read, true)


@given(read=TEXTS, true=TEXTS)
@settings(max_examples=200)
def test_it_is_never_below_the_damerau_levenshtein_distance(read: str, true: str) -> None:
    assert aligned_cost(read, true, UNIT) >= DamerauLevenshtein.distance(read, true)
