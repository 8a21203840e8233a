"""The check value of a page: equal however the page was read, another for every other content."""

from __future__ import annotations

import subprocess

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.marks.page_check import MARKER, counted, page_check, proves_itself

PAGE = "Kit OSV4-FC1-A500 page 3 of 24\nOSV4-FC1-A500-SW2-U3-42\nK7M4-XRAW 0.15 mm"
TEXTS = st.text(st.characters(codec="utf-8"), max_size=60)


def whole(text: str) -> str:
    """A page as it is printed, its last line included."""
    return f"{text}\n{MARKER} {page_check(text)}   the shop\nhow it is formed"


def test_a_page_proves_itself_and_a_changed_one_does_not() -> None:
    assert proves_itself(whole(PAGE))
    for old, new in (("U3-42", "U4-42"), ("0.15", "0.51"), ("page 3", "page 4"), ("XRAW", "XRWA"), ("A500", "C500")):
        assert not proves_itself(whole(PAGE).replace(old, new, 1)), old


def test_a_page_without_a_value_proves_nothing() -> None:
    assert not proves_itself("")
    assert not proves_itself(PAGE)
    assert not proves_itself(f"{PAGE}\n{MARKER} is formed thus")


def test_the_last_value_on_a_page_counts() -> None:
    assert proves_itself(whole(f"{PAGE}\n{MARKER} 0000 0000"))


def test_the_printed_command_gives_the_same_value() -> None:
    stripped = subprocess.run(["tr", "-d", "[:space:]-"], input=PAGE.encode(), capture_output=True, check=True).stdout
    said = subprocess.run(["sha256sum"], input=stripped, capture_output=True, check=True).stdout.decode()
    assert said[:8] == page_check(PAGE).replace(" ", "")


@settings(max_examples=100)
@given(TEXTS, TEXTS)
def test_line_ends_blanks_and_hyphens_do_not_count(before: str, after: str) -> None:
    assert page_check(f"{before} \n-\u00ad{after}") == page_check(before + after)


@settings(max_examples=100)
@given(TEXTS)
def test_what_is_counted_is_counted_once(text: str) -> None:
    assert page_check(counted(text)) == page_check(text)
    assert proves_itself(whole(text))


@settings(max_examples=100)
@given(TEXTS, TEXTS)
def test_other_texts_have_other_values(one: str, other: str) -> None:
    assume(counted(one) != counted(other))
    assert page_check(one) != page_check(other)
