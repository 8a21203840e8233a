"""Texts that people send: tidied, and refused when nothing can print or keep them."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from schemas.text import AssemblyCode, Code, ContainerCode, Name, PlaceText, PlantCode, Reason, Remark

NAME: TypeAdapter[str] = TypeAdapter(Name)
REMARK: TypeAdapter[str] = TypeAdapter(Remark)
REASON: TypeAdapter[str] = TypeAdapter(Reason)


@given(text=st.text(max_size=60))
def test_a_name_is_one_printable_line_or_refused(text: str) -> None:
    try:
        name = NAME.validate_python(text)
    except ValidationError:
        assert not text.strip() or not " ".join(text.split()).isprintable()
    else:
        assert name == " ".join(text.split())
        assert name.isprintable()
        assert NAME.validate_python(name) == name


@pytest.mark.parametrize("char", "\x00\x07\x1b\x7f\x85\u2028\u202e\u2066\ufeff\ud800", ids=ascii)
def test_what_cannot_be_printed_is_pointed_at(char: str) -> None:
    for adapter in (REMARK, REASON):
        with pytest.raises(ValidationError, match=r"character 3 is U\+|valid string"):
            adapter.validate_python(f"ab{char}cd")


def test_a_remark_may_have_lines() -> None:
    text = "slot of screw 2\r\n\topened by 1 mm"
    assert REMARK.validate_python(text) == text


@pytest.mark.parametrize(
    ("adapter", "good", "bad"),
    [
        (TypeAdapter(PlantCode), [" osv ", "OSVA"], ["OS", "OSVAB", "O5V", "ÖSV", "OSV\n!"]),
        (TypeAdapter(Code), ["sw", "S"], ["", "SWEET", "S2"]),
        (TypeAdapter(AssemblyCode), ["sw2", "OR12"], ["SW", "SW0", "2", "SW1234"]),
        (TypeAdapter(ContainerCode), ["a500", "AA12"], ["500", "A0500", "ABC5", "A"]),
        (TypeAdapter(PlaceText), ["sw2-u3", "SW2U3"], ["U3", "SW2", "SW2-U0", "SW2--U3"]),
    ],
)
def test_a_code_has_its_form(adapter: TypeAdapter[str], good: list[str], bad: list[str]) -> None:
    pattern = adapter.json_schema()["pattern"]
    (example,) = adapter.json_schema()["examples"]
    for text in (*good, example):
        assert re.search(pattern, adapter.validate_python(text))
    for text in bad:
        with pytest.raises(ValidationError):
            adapter.validate_python(text)
