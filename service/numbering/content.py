"""The nominal content of a container as digits of a number.

Litres count in mL, other units as they are, and decimals are cut: the digits are a reminder, the exact content and its
unit stand in the register.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, DecimalException
from types import MappingProxyType

from service.errors import BadNumber, UnknownCode
from service.numbering.grammar import RULES

__all__ = ["UNITS", "canonical_unit", "nominal_digits"]

UNITS: Mapping[str, int] = MappingProxyType(
    {
        "mL": 1,
        "cL": 10,
        "dL": 100,
        "L": 1000,
        "fl oz": 1,
        "pt": 1,
        "qt": 1,
        "gal": 1,
        "g": 1,
        "kg": 1,
        "oz": 1,
        "lb": 1,
        "pcs": 1,
    }
)
"""The units of a content and the factor to what is counted: mL for litres under any prefix, else the unit itself.

Fluid ounces, pints, quarts and gallons are not told apart as US or imperial here, since they are not converted.
"""

_LITRES = ("mL", "cL", "dL", "L")
_SPELLINGS = {unit.lower().replace(" ", ""): unit for unit in UNITS}
_LARGEST = next(rule.largest for rule in RULES if rule.name == "nominal")


def canonical_unit(unit: str) -> str:
    """The unit as it is kept: ``ml`` gives ``mL``, ``fl. oz.`` gives ``fl oz``.

    Raises:
        UnknownCode: a unit that the service does not know.
    """
    known = _SPELLINGS.get("".join(unit.lower().replace(".", " ").split()))
    if known is None:
        raise UnknownCode(
            "the service does not know this unit of content",
            field="unit",
            value=unit,
            todo=f"Use one of {', '.join(UNITS)}",
        )
    return known


def nominal_digits(nominal: Decimal | float | str, unit: str) -> int:
    """The digits that stand in a container's code: 0.5 L and 500 mL give 500, 12.5 fl oz gives 12.

    Args:
        nominal: the nominal content. Floats are taken as they print, so 0.33 L is 330.
        unit: its unit, one of :data:`UNITS` in any case.

    Raises:
        UnknownCode: a unit that the service does not know.
        BadNumber: no number, or a content whose digits are not 1 to 999999.
    """
    unit = canonical_unit(unit)
    factor = UNITS[unit]
    try:
        content = Decimal(str(nominal).strip()) * factor
    except DecimalException:
        content = Decimal("NaN")
    if not content.is_finite():
        raise BadNumber(
            "the nominal content is no number", field="nominal", value=nominal, todo="Give a number such as 500 or 12.5"
        )
    if not 1 <= content < _LARGEST + 1:
        raise BadNumber(
            f"counted in {'mL' if unit in _LITRES else unit} the nominal content must be from 1 to {_LARGEST}",
            field="nominal",
            value=nominal,
            todo="Give the content in a smaller or larger unit",
        )
    return int(content)
