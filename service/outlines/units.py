"""Units of length: the codes of a DXF header and the words that people send, each with its exact length in millimetres.

Codes: DXF Reference, header variable ``$INSUNITS``. Lengths: the international inch is 25.4 mm exactly (and foot, yard,
mile with it); the US survey foot is 1200/3937 m; the astronomical unit is 149,597,870,700 m (IAU 2012 resolution B2),
the light year 9,460,730,472,580,800 m, the parsec 648,000/π astronomical units (IAU 2015 resolution B2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.errors import BadRequest

_SURVEY_FOOT_MM = 1_200_000 / 3937
_ASTRONOMICAL_UNIT_MM = 149_597_870_700_000.0


@dataclass(frozen=True, slots=True)
class LengthUnit:
    """One unit of length.

    Attributes:
        symbol: what the records hold, for example ``mm``.
        name: what a message says, plural, for example ``millimetres``.
        insunits: the code in ``$INSUNITS``.
        mm: millimetres in one unit.
    """

    symbol: str
    name: str
    insunits: int
    mm: float


LENGTH_UNITS: tuple[LengthUnit, ...] = (
    LengthUnit("in", "inches", 1, 25.4),
    LengthUnit("ft", "feet", 2, 304.8),
    LengthUnit("mi", "miles", 3, 1_609_344.0),
    LengthUnit("mm", "millimetres", 4, 1.0),
    LengthUnit("cm", "centimetres", 5, 10.0),
    LengthUnit("m", "metres", 6, 1000.0),
    LengthUnit("km", "kilometres", 7, 1e6),
    LengthUnit("uin", "microinches", 8, 25.4e-6),
    LengthUnit("mil", "mils", 9, 0.0254),
    LengthUnit("yd", "yards", 10, 914.4),
    LengthUnit("angstrom", "ångströms", 11, 1e-7),
    LengthUnit("nm", "nanometres", 12, 1e-6),
    LengthUnit("um", "micrometres", 13, 1e-3),
    LengthUnit("dm", "decimetres", 14, 100.0),
    LengthUnit("dam", "decametres", 15, 1e4),
    LengthUnit("hm", "hectometres", 16, 1e5),
    LengthUnit("Gm", "gigametres", 17, 1e12),
    LengthUnit("au", "astronomical units", 18, _ASTRONOMICAL_UNIT_MM),
    LengthUnit("ly", "light years", 19, 9.4607304725808e18),
    LengthUnit("pc", "parsecs", 20, 648_000 / math.pi * _ASTRONOMICAL_UNIT_MM),
    LengthUnit("us-ft", "US survey feet", 21, _SURVEY_FOOT_MM),
    LengthUnit("us-in", "US survey inches", 22, _SURVEY_FOOT_MM / 12),
    LengthUnit("us-yd", "US survey yards", 23, _SURVEY_FOOT_MM * 3),
    LengthUnit("us-mi", "US survey miles", 24, _SURVEY_FOOT_MM * 5280),
)
"""Every unit that ``$INSUNITS`` can name."""

SPELLINGS: dict[str, tuple[str, ...]] = {
    "mm": ("millimetre", "millimetres", "millimeter", "millimeters", "metric"),
    "in": ("inch", "inches", '"', "″", "imperial"),
    "cm": ("centimetre", "centimetres", "centimeter", "centimeters"),
    "m": ("metre", "metres", "meter", "meters"),
    "ft": ("foot", "feet", "'", "′"),
    "dm": ("decimetre", "decimetres", "decimeter", "decimeters"),
    "um": ("µm", "μm", "micron", "microns", "micrometre", "micrometres", "micrometer", "micrometers"),
    "mil": ("mils", "thou"),
    "yd": ("yard", "yards"),
}
"""Words for units that may be given with a file; letter case and blanks around make no difference."""

_BY_CODE = {unit.insunits: unit for unit in LENGTH_UNITS}
_BY_SYMBOL = {unit.symbol: unit for unit in LENGTH_UNITS}
_BY_SPELLING = {word: _BY_SYMBOL[symbol] for symbol, words in SPELLINGS.items() for word in (symbol, *words)}


def unit_of_insunits(code: int) -> LengthUnit | None:
    """The unit that a ``$INSUNITS`` code names; nothing for 0, which means none, and for codes that name nothing."""
    return _BY_CODE.get(code)


def unit_of_symbol(symbol: str) -> LengthUnit:
    """The unit behind a symbol that the records hold; KeyError for any other text."""
    return _BY_SYMBOL[symbol]


def unit_named(word: str) -> LengthUnit:
    """The unit that a person or program gave with a file, for example ``mm``, ``inch`` or ``"``.

    Raises:
        BadRequest: the word names no unit in which a cut file could be drawn.
    """
    unit = _BY_SPELLING.get(word.strip().casefold())
    if unit is None:
        raise BadRequest(
            "not a unit of length that a cut file is drawn in",
            field="units",
            value=word,
            todo=f"Use one of {', '.join(SPELLINGS)}",
        )
    return unit
