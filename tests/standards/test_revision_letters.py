"""Revision letters after ASME Y14.35 (from memory: the text of the standard was not at hand)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import BadRevision
from service.rules.revision_letters import letter_of, ordinal_of


# Derived by counting: 20 letters are left without I, O, Q, S, X and Z.
@pytest.mark.parametrize(
    ("ordinal", "letter"),
    [
        (0, "-"),
        (1, "A"),
        (8, "H"),
        (9, "J"),
        (13, "N"),
        (14, "P"),
        (15, "R"),
        (16, "T"),
        (20, "Y"),
        (21, "AA"),
        (40, "AY"),
        (41, "BA"),
        (420, "YY"),
        (421, "AAA"),
    ],
)
def test_the_sequence(ordinal: int, letter: str) -> None:
    assert letter_of(ordinal) == letter
    assert ordinal_of(letter) == ordinal


@given(st.integers(min_value=0, max_value=8420))
def test_every_letter_leads_back(ordinal: int) -> None:
    assert ordinal_of(letter_of(ordinal).lower()) == ordinal
    assert not set(letter_of(ordinal)) & set("IOQSXZ")


@pytest.mark.parametrize("text", ["I", "O", "Q", "S", "X", "Z", "AI", "", " ", "1", "A1", "--", "ABCD", "é"])
def test_what_is_no_revision_is_refused_with_what_to_do(text: str) -> None:
    with pytest.raises(BadRevision, match="Give '-'"):
        ordinal_of(text)
