"""Sizes of paper and labels: their names (PWG 5101.1) and what a printer says of them (PWG 5100.3, RFC 8011 5.2.13).

Lengths are in hundredths of a millimetre, as printers count them; x is across the feed, y along it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from service.printers.ipp_message import Content, Range

_NAME = re.compile(r"(?P<kind>[a-z]+)_(?P<name>[^_]+)_(?P<x>\d+(?:\.\d+)?)x(?P<y>\d+(?:\.\d+)?)(?P<unit>in|mm)(?:_.*)?")
_HMM = {"in": Decimal(2540), "mm": Decimal(100)}


@dataclass(frozen=True, slots=True)
class Media:
    """One size that a printer takes, or has loaded.

    Attributes:
        x_hmm, y_hmm: across and along the feed.
        name: its self-describing name, if it has one.
        margins_hmm: left, right, top and bottom that the printer leaves white, where it says so.
        source, kind: tray and type of paper, where it says so.
    """

    x_hmm: int
    y_hmm: int
    name: str | None = None
    margins_hmm: tuple[int, int, int, int] | None = None
    source: str | None = None
    kind: str | None = None

    @property
    def words(self) -> str:
        """The size as people say it."""
        return f"{self.x_hmm / 100:g} × {self.y_hmm / 100:g} mm"

    def is_size(self, x_hmm: int, y_hmm: int, *, within_hmm: int) -> bool:
        """Whether it is this size, but for rounding."""
        return abs(self.x_hmm - x_hmm) <= within_hmm and abs(self.y_hmm - y_hmm) <= within_hmm


@dataclass(frozen=True, slots=True)
class MediaRange:
    """Every size between two that a printer takes, as one with a roll does."""

    x_hmm: Range
    y_hmm: Range

    @property
    def words(self) -> str:
        """The range as people say it."""
        least = f"{self.x_hmm.low / 100:g} × {self.y_hmm.low / 100:g}"
        return f"{least} to {self.x_hmm.high / 100:g} × {self.y_hmm.high / 100:g} mm"

    def holds(self, x_hmm: int, y_hmm: int) -> bool:
        """Whether a size lies within it, both ends included."""
        return self.x_hmm.low <= x_hmm <= self.x_hmm.high and self.y_hmm.low <= y_hmm <= self.y_hmm.high


def of_name(name: str) -> Media | None:
    """The size that a self-describing name says (PWG 5101.1 section 5); None when it is no such name."""
    found = _NAME.fullmatch(name)
    if found is None:
        return None
    x, y = (int((Decimal(found[side]) * _HMM[found["unit"]]).to_integral_value()) for side in "xy")
    return Media(x, y, name=name)


def ranges_of_names(names: list[str]) -> list[MediaRange]:
    """The ranges that pairs of names such as ``custom_min_25x10mm`` and ``custom_max_110x300mm`` say."""
    ends: dict[str, dict[str, Media]] = {}
    for name in names:
        size, found = of_name(name), _NAME.fullmatch(name)
        if size is not None and found is not None and found["kind"] in ("custom", "roll"):
            ends.setdefault(found["kind"], {})[found["name"]] = size
    return [
        MediaRange(Range(pair["min"].x_hmm, pair["max"].x_hmm), Range(pair["min"].y_hmm, pair["max"].y_hmm))
        for pair in ends.values()
        if {"min", "max"} <= pair.keys()
    ]


def is_end_of_range(name: str) -> bool:
    """Whether a name is one end of a range and not a size that can be asked for."""
    found = _NAME.fullmatch(name)
    return found is not None and found["kind"] in ("custom", "roll") and found["name"] in ("min", "max")


def of_size(size: Content) -> Media | MediaRange | None:
    """A ``media-size`` collection: a size, or a range where a dimension is one; None when it is neither."""
    facts = members(size)
    x, y = facts.get("x-dimension"), facts.get("y-dimension")
    if isinstance(x, Range) or isinstance(y, Range):
        wide, long = _as_range(x), _as_range(y)
        return None if wide is None or long is None else MediaRange(wide, long)
    if isinstance(x, int) and isinstance(y, int) and x > 0 and y > 0:
        return Media(x, y)
    return None


def of_collection(collection: Content) -> Media | None:
    """A ``media-col`` collection: size, margins, tray and type of what is loaded; None without one fixed size."""
    facts = members(collection)
    size = of_size(facts.get("media-size"))
    if not isinstance(size, Media):
        return None
    margins = tuple(facts.get(f"media-{side}-margin") for side in ("left", "right", "top", "bottom"))
    known = [margin for margin in margins if isinstance(margin, int)]
    name, source, kind = (facts.get(key) for key in ("media-size-name", "media-source", "media-type"))
    return Media(
        size.x_hmm,
        size.y_hmm,
        name=name if isinstance(name, str) else None,
        margins_hmm=(known[0], known[1], known[2], known[3]) if len(known) == 4 else None,
        source=source if isinstance(source, str) else None,
        kind=kind if isinstance(kind, str) else None,
    )


def members(collection: Content) -> dict[str, Content]:
    """The first value of each member of a collection, nothing for what is no collection."""
    if not isinstance(collection, tuple):
        return {}
    return {one.name: one.values[0].content for one in collection}


def _as_range(side: Content) -> Range | None:
    if isinstance(side, Range):
        return side if side.low <= side.high else None
    return Range(side, side) if isinstance(side, int) else None
