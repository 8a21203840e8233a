"""What counts as the same legacy mark."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from service.rules.legacy_marks import folded, foldings

usual = st.text(st.characters(min_codepoint=0x20, max_codepoint=0x17F, exclude_characters="ıſŉ"), max_size=40)


@given(st.text(max_size=40))
@example("ŉ")
@example("ﬁ 12 ½")
@example("İI")
@example("ǰ\u0345")
@settings(max_examples=400)
def test_folding_what_is_folded_changes_nothing(text: str) -> None:
    assert folded(folded(text)) == folded(text)


@given(usual)
def test_letter_case_makes_no_difference(text: str) -> None:
    # But for the dotless i, which is another letter in small and the plain I in capitals: Unicode leaves that open.
    assert folded(text.upper()) == folded(text) == folded(text.lower())


@given(usual, st.lists(st.tuples(st.integers(0, 40), st.sampled_from(" -–—./#,\u00a0\u2011")), max_size=6))
def test_blanks_dashes_and_dots_make_no_difference(text: str, put_in: list[tuple[int, str]]) -> None:
    changed = text
    for place, sign in put_in:
        changed = changed[:place] + sign + changed[place:]
    assert folded(changed) == folded(text)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("PO 4711/3", "po47113"),
        ("Große Bürste", "GROSSE BURSTE"),
        # The stroke of the Ł is part of the letter and no accent: Unicode gives it no decomposition.
        ("Łódź", "łodz"),
        ("Ａ５００", "a500"),
        ('12" star, upper left', "12 STAR UPPER-LEFT"),
    ],
)
def test_marks_that_are_the_same(one: str, other: str) -> None:
    assert folded(one) == folded(other)


@pytest.mark.parametrize(("one", "other"), [("A500", "A50O"), ("12", "1-2-3"), ("Łoś", "Los"), ("ı", "i")])
def test_marks_that_differ(one: str, other: str) -> None:
    assert folded(one) != folded(other)


def test_a_scanners_prefix_is_tried_off_and_on() -> None:
    # ISO/IEC 15424: ]C0 stands before the data of a Code 128.
    assert foldings("]C0OLD-77") == ("c0old77", "old77")
    assert foldings("OLD-77") == ("old77",)
    assert foldings(" -- ") == ()
