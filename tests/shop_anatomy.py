"""What a machine of an invented shop is made of: its assemblies, decks and segments, with the figures of each part.

Machines of one class are alike and no two are the same: how many stars, on how many decks, cut into how many segments,
with how many pockets, is drawn for every machine. Of each machine there are two forms, for small and for large
containers, since large stars and guides are cut into more segments. The proportions are the author's own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from random import Random

STAR, SCREW, CURVED, STRAIGHT, PLATE, SMALL = range(6)
FAMILIES = ("star", "screw", "curved guide", "straight guide", "plate", "small part")
"""What a part looks like to somebody who does not know its name; the constants above are places in it."""

STOCK_MM = (8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0)
"""Nominal thicknesses of the sheets that parts are cut from."""


@dataclass(frozen=True, slots=True)
class Part:
    """One segment as it stands in every kit of a machine.

    Attributes:
        assembly: code of the assembly, ``SW``.
        assembly_ordinal: which of its kind.
        deck: deck letter.
        ordinal: which segment of the deck.
        family: place in :data:`FAMILIES`.
        pockets: how many pockets it has; 0 for a part without any.
        length_mm: its overall length for a container of no width.
        per_width: how much longer it is for each millimetre of the container's width.
        thickness_mm: nominal thickness of the sheet.
        hand: ``LEFT``, ``RIGHT`` or nothing.
    """

    assembly: str
    assembly_ordinal: int
    deck: str
    ordinal: int
    family: int
    pockets: int
    length_mm: float
    per_width: float
    thickness_mm: float
    hand: str

    @property
    def place(self) -> str:
        """How the number says where the part belongs, ``SW2-U3``."""
        return f"{self.assembly}{self.assembly_ordinal}-{self.deck}{self.ordinal}"


@dataclass(frozen=True, slots=True)
class Machine:
    """What all kits of a machine have in common, in the form for small and for large containers."""

    pitch_mm: float
    small: tuple[Part, ...]
    large: tuple[Part, ...]


def machine(draw: Random, machine_class: str) -> Machine:
    """A machine of a class, its parts in the order in which they are issued."""
    pitch_mm = draw.choice((80.0, 90.0, 95.0, 104.72, 110.0, 113.1, 120.0, 125.66, 140.0, 157.08))
    state = draw.getrandbits(64)
    small, large = (tuple(_parts(Random(state), machine_class, pitch_mm, more)) for more in (0, 1))
    return Machine(pitch_mm, small, large)


def _parts(draw: Random, machine_class: str, pitch_mm: float, more: int) -> Iterator[Part]:
    for made in _PLANS[machine_class]:
        yield from made(draw, pitch_mm, more)


Plan = Callable[[Random, float, int], Iterator[Part]]


def _stars(fewest: int, most: int) -> Plan:
    def made(draw: Random, pitch_mm: float, more: int) -> Iterator[Part]:
        for ordinal in range(1, draw.randint(fewest, most) + 1):
            pockets = draw.choice((6, 8, 10, 12, 12, 14, 16, 18, 20, 24, 30, 36))
            radius = pockets * pitch_mm / math.tau
            pieces = (
                draw.choice((1, 2, 2, 3))
                if pockets < 12
                else draw.choice((2, 3, 4, 4, 6, 6)) + more * draw.choice((0, 2))
            )
            for deck in _decks(draw):
                thickness = draw.choice(STOCK_MM[2:6])
                for at in range(pieces):
                    own = pockets // pieces + (at < pockets % pieces)
                    span = 2 * radius if pieces <= 2 else 2 * radius * math.sin(math.pi / pieces)
                    yield Part("SW", ordinal, deck, at + 1, STAR, own, span, 0.6, thickness, "")

    return made


def _guides(code: str, fewest: int, most: int, pieces: tuple[int, ...], decks: str = "") -> Plan:
    def made(draw: Random, pitch_mm: float, more: int) -> Iterator[Part]:
        for ordinal in range(1, draw.randint(fewest, most) + 1):
            radius = draw.choice((10, 12, 16, 18, 24, 30)) * pitch_mm / math.tau
            count = draw.choice(pieces) + more * draw.choice((0, 1))
            share = [draw.uniform(0.7, 1.3) for _ in range(count)]
            hand = draw.choice(("", "", "LEFT", "RIGHT"))
            for deck in decks or _decks(draw):
                thickness = draw.choice(STOCK_MM[1:6])
                for at in range(count):
                    angle = math.pi * 0.9 * share[at] / count
                    span = 2 * radius * math.sin(min(angle, math.pi) / 2)
                    yield Part(code, ordinal, deck, at + 1, CURVED, 0, span, 0.9, thickness, hand)

    return made


def _rails(code: str, fewest: int, most: int) -> Plan:
    def made(draw: Random, pitch_mm: float, more: int) -> Iterator[Part]:
        for ordinal in range(1, draw.randint(fewest, most) + 1):
            thickness = draw.choice(STOCK_MM[:5])
            hand = draw.choice(("LEFT", "RIGHT"))
            for at in range(draw.randint(1, 4)):
                length = draw.choice((300, 400, 500, 600, 750, 900, 1000, 1200, 1500))
                yield Part(code, ordinal, "X", at + 1, STRAIGHT, 0, float(length), 0.0, thickness, hand)

    return made


def _screws(draw: Random, pitch_mm: float, more: int) -> Iterator[Part]:
    for ordinal in range(1, draw.choice((1, 1, 2)) + 1):
        hand = draw.choice(("LEFT", "RIGHT"))
        length = draw.choice((400, 450, 500, 600, 700, 800)) + 0.25 * pitch_mm
        yield Part("TS", ordinal, "X", 1, SCREW, 0, length, 0.3, draw.choice((80.0, 100.0, 120.0)), hand)


def _single(code: str, family: int, lengths: tuple[float, ...], most: int, per_width: float) -> Plan:
    def made(draw: Random, pitch_mm: float, more: int) -> Iterator[Part]:
        thickness = draw.choice(STOCK_MM)
        for at in range(draw.randint(1, most)):
            yield Part(code, 1, "X", at + 1, family, 0, draw.choice(lengths), per_width, thickness, "")

    return made


def _decks(draw: Random) -> str:
    return draw.choice(("LU", "LU", "LMU", "LMU", "LMU", "U", "LMUK"))


_CHUCK = _single("CH", SMALL, (48.0, 55.0, 62.0), 2, 0.0)
_CHUTE = _single("DC", PLATE, (180.0, 240.0, 320.0), 3, 0.0)
_PLATES = _single("BP", SMALL, (20.0, 24.0), 2, 1.0)
_PUSHERS = _single("PU", SMALL, (60.0, 80.0, 110.0, 140.0), 8, 0.5)
_MAGAZINE = _single("LM", PLATE, (120.0, 160.0, 210.0, 260.0), 6, 0.0)
_BRACKETS = _single("BK", SMALL, (70.0, 90.0, 120.0), 6, 0.2)
_STRIPS = _rails("WS", 1, 4)

_PLANS: Mapping[str, tuple[Plan, ...]] = {
    "FC": (
        _screws, _stars(3, 6), _guides("CG", 3, 5, (2, 3, 4, 5)), _guides("OR", 2, 5, (2, 3, 4)),
        _guides("NG", 1, 2, (2, 3, 4, 6), "K"), _rails("RL", 1, 4), _CHUCK, _CHUTE, _PLATES,
    ),
    "FL": (
        _screws, _stars(2, 5), _guides("CG", 2, 4, (2, 3, 4)), _guides("OR", 2, 5, (2, 3, 4)),
        _rails("RL", 1, 4), _PLATES,
    ),
    "CP": (_screws, _stars(2, 4), _guides("CG", 1, 4, (2, 3, 5)), _guides("NG", 1, 2, (2, 4), "K"), _CHUCK, _CHUTE),
    "LB": (
        _screws, _stars(2, 5), _guides("CG", 2, 4, (1, 2, 3, 4)), _guides("OR", 2, 4, (1, 2, 4)), _MAGAZINE, _PLATES,
        _PUSHERS, _rails("RL", 1, 3),
    ),
    "RN": (_stars(2, 5), _guides("CG", 2, 4, (2, 3, 4)), _guides("OR", 1, 3, (2, 3)), _BRACKETS),
    "SV": (_screws, _stars(1, 3), _guides("OR", 1, 3, (1, 2)), _BRACKETS, _rails("RL", 2, 5)),
    "PK": (_rails("RL", 3, 8), _PUSHERS, _BRACKETS, _STRIPS, _guides("OR", 1, 4, (2, 3))),
    "UN": (_PUSHERS, _rails("RL", 2, 6), _STRIPS),
    "SM": (_screws, _stars(3, 6), _guides("CG", 1, 4, (2, 3, 5)), _guides("OR", 1, 3, (2, 3)), _CHUCK, _PLATES),
}  # fmt: skip
CLASSES = tuple(_PLANS)
