"""What a caller counts and measures: pockets, length, thickness, and dates, each with how far such answers are out.

A measured figure is told to the nearest millimetre, a tenth of it for a thickness; likelihoods are those of the figure
as it is told, so that "not measured right" and "measured right" can be weighed against each other.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from service.rules.evidence_table import VALUES, wrong

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "": 1.0}
_FIGURE = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>mm|cm|m|inches|inch|in|\")?", re.IGNORECASE)
_COUNTS = {
    word: count
    for count, word in enumerate(
        ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
    )
} | {"no": 0, "zero": 0, "single": 1}
_MOST_POCKETS = 60
_LENGTHS_MM = (5.0, 5000.0)
_THICKNESSES_MM = (0.5, 200.0)
_OTHER_COUNTS = 0.05  # a count that has nothing to do with the part is one of some twenty
_YEARS = 40  # as is a date that has nothing to do with it, of some forty years


def count_said(text: str) -> int | None:
    """The whole number in what a caller said, in figures or words; None where there is none, or it is no count."""
    found = _NUMBER.search(text)
    if found is not None:
        return int(found[0]) if found[0].isdecimal() and int(found[0]) <= _MOST_POCKETS else None
    return next((_COUNTS[word] for word in re.findall(r"[a-z]+", text.casefold()) if word in _COUNTS), None)


def millimetres_said(text: str, *, thin: bool = False) -> float | None:
    """The length in what a caller said, in mm; None where there is none, or no part is like that.

    Args:
        text: a figure, with its unit unless it is mm.
        thin: whether it is a thickness.
    """
    found = _FIGURE.search(text)
    if found is None:
        return None
    value = float(found["number"].replace(",", ".")) * _UNITS[(found["unit"] or "").lower()]
    least, most = _THICKNESSES_MM if thin else _LENGTHS_MM
    return value if least <= value <= most else None


def pockets_likelihood(said: int, counted: int) -> float:
    """How likely this count is for a part with so many pockets."""
    off = abs(said - counted)
    near = VALUES["pockets.near"]
    # A part without pockets is miscounted on one side only.
    sides = 1 if counted == 0 else 2
    share = 1 - near if off == 0 else near / sides if off == 1 else 0.0
    return (1 - wrong("pockets")) * share + wrong("pockets") * _OTHER_COUNTS


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured figure as it was told; ``spread_mm`` is None where the usual one holds."""

    value_mm: float
    spread_mm: float | None


def length_likelihood(said: Measured, length_mm: float) -> float:
    """How likely this length is for a part that is so long over its farthest two points."""
    spread = said.spread_mm or max(VALUES["overall_length_mm.spread_mm"], 0.005 * length_mm)
    rough, broken = VALUES["overall_length_mm.rough"], VALUES["overall_length_mm.broken"]
    off = said.value_mm - length_mm
    # Of what is left of a broken part any length is as likely, down to a fifth of it.
    remnant = 1 / (0.8 * length_mm) if 0.2 * length_mm <= said.value_mm < length_mm else 0.0
    right = (1 - rough - broken) * _normal(off, spread) + rough * _normal(off, 4 * spread) + broken * remnant
    return (1 - wrong("overall_length_mm")) * right + wrong("overall_length_mm") * _anything(said, _LENGTHS_MM)


@dataclass(frozen=True, slots=True, order=True)
class Thickness:
    """What is on record of a thickness, in mm; ``measured_mm`` None where nobody measured it."""

    nominal_mm: float
    measured_mm: float | None

    @property
    def best_mm(self) -> float:
        """As measured, or else as ordered."""
        return self.nominal_mm if self.measured_mm is None else self.measured_mm


def thickness_likelihood(said: Measured, thickness: Thickness) -> float:
    """How likely this thickness is; a caller may as well give the size that the sheet is sold as."""
    spread = said.spread_mm or VALUES["thickness_mm.spread_mm"]
    rough = VALUES["thickness_mm.rough"]
    true = {thickness.nominal_mm, thickness.best_mm}
    right = sum(
        (1 - rough) * _normal(said.value_mm - mm, spread) + rough * _normal(said.value_mm - mm, 4 * spread)
        for mm in true
    ) / len(true)
    return (1 - wrong("thickness_mm")) * right + wrong("thickness_mm") * _anything(said, _THICKNESSES_MM)


def _normal(off: float, spread: float) -> float:
    return math.exp(-((off / spread) ** 2) / 2) / (spread * math.sqrt(2 * math.pi))


def _anything(said: Measured, between: tuple[float, float]) -> float:
    """Of a figure that has nothing to do with the part: small ones are as likely as large ones, by their logarithm."""
    return 1 / (said.value_mm * math.log(between[1] / between[0]))


@dataclass(frozen=True, slots=True)
class InUse:
    """The years in which a kit was in use, and that in which it was made; ``until`` is the last one."""

    made: int
    until: int


_YEAR = re.compile(r"(?<!\d)(19\d\d|20\d\d)(?!\d)")


def year_said(text: str) -> int | None:
    """The year in what a caller said; None where there is none."""
    found = _YEAR.search(text)
    return None if found is None else int(found[1])


def date_likelihood(said: int, kit: InUse) -> float:
    """How likely a year is for something about a part of a kit."""
    years = max(1, kit.until - kit.made + 1)
    made = VALUES["date.made"]
    right = (made if said == kit.made else 0.0) + ((1 - made) / years if kit.made <= said <= kit.until else 0.0)
    return (1 - wrong("date")) * right + wrong("date") / _YEARS
