"""Nominal contents as digits of a container's code."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.errors import BadNumber, UnknownCode
from service.numbering.content import UNITS, canonical_unit, nominal_digits


@pytest.mark.parametrize(
    ("nominal", "unit", "digits"),
    [
        (500, "mL", 500),
        (0.5, "L", 500),
        (0.33, "L", 330),
        ("1.5", "L", 1500),
        (Decimal("0.7"), "L", 700),
        (33, "cL", 330),
        (5, "dL", 500),
        (12.5, "fl oz", 12),
        (12, "fl oz", 12),
        ("16.9", "fl oz", 16),
        (1, "gal", 1),
        (250, "g", 250),
        ("2.5", "kg", 2),
        (60, "pcs", 60),
        (0.2299, "L", 229),
        (999_999, "mL", 999_999),
        (" 500 ", "ml", 500),
        (1.1, "L", 1100),
        (2.3, "L", 2300),
    ],
)
def test_litres_count_in_ml_other_units_as_they_are_and_decimals_are_cut(
    nominal: Decimal | float | str, unit: str, digits: int
) -> None:
    assert nominal_digits(nominal, unit) == digits


@pytest.mark.parametrize(
    ("spelled", "kept"), [("ML", "mL"), ("l", "L"), ("Fl. Oz.", "fl oz"), ("floz", "fl oz"), ("KG", "kg")]
)
def test_units_are_kept_in_one_spelling(spelled: str, kept: str) -> None:
    assert canonical_unit(spelled) == kept
    assert kept in UNITS


@pytest.mark.parametrize("unit", ["barrel", "", "m", "mm"])
def test_an_unknown_unit_is_refused_with_those_that_are_known(unit: str) -> None:
    with pytest.raises(UnknownCode) as refusal:
        nominal_digits(500, unit)
    assert refusal.value.field == "unit"
    assert "fl oz" in refusal.value.todo


@pytest.mark.parametrize(
    ("nominal", "unit"),
    [
        (0, "mL"),
        (-1, "L"),
        (0.5, "kg"),
        (0.0009, "L"),
        (1000, "L"),
        ("1e9", "L"),
        ("1e999999", "L"),
        ("half", "L"),
        ("nan", "L"),
        (float("inf"), "L"),
        ("", "L"),
    ],
)
def test_a_content_without_digits_of_a_number_is_refused(nominal: float | str, unit: str) -> None:
    with pytest.raises(BadNumber) as refusal:
        nominal_digits(nominal, unit)
    assert refusal.value.field == "nominal"
