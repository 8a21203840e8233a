"""Issued numbers with some of their signs lost or misread, drawn from a seed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random

from tests.callers.confusions import PLACE, SIGNS, taken_for


@dataclass(frozen=True, slots=True)
class Damaged:
    """What is left of a number, and which one it was."""

    true: str
    left: str


def lost_signs(draw: Random, number: str, count: int) -> str:
    """So many signs cannot be read; where they stood is seen."""
    gone = set(draw.sample(_signs(number), count))
    return "".join("?" if at in gone else sign for at, sign in enumerate(number))


def misread_signs(draw: Random, number: str, count: int) -> str:
    """So many signs are taken for others by eye."""
    wrong = set(draw.sample(_signs(number), count))
    table = taken_for("eye", 1.0)
    return "".join(
        draw.choices(SIGNS, table[PLACE[sign]].tolist())[0] if at in wrong else sign for at, sign in enumerate(number)
    )


def without_head(number: str) -> str:
    """Plant, line and machine are broken off: ``A500-SW2-U3-42``."""
    return number.split("-", 2)[2]


def tail_only(number: str) -> str:
    """Assembly, place and check are left: ``SW2-U3-42``."""
    return number.split("-", 3)[3]


KINDS: Mapping[str, Callable[[Random, str], str]] = {
    "exact": lambda _, number: number,
    "three signs unknown": lambda draw, number: lost_signs(draw, number, 3),
    "no prefix": lambda _, number: without_head(number),
    "only a tail": lambda _, number: tail_only(number),
    "two signs misread": lambda draw, number: misread_signs(draw, number, 2),
}
"""What is left of a number in each case that is timed."""


def damaged(kind: str, numbers: Sequence[str], *, count: int, seed: int = 5) -> list[Damaged]:
    """Numbers drawn evenly from a shop, damaged in one of the ``KINDS``."""
    draw = Random(f"{kind} {seed}")
    return [Damaged(true, KINDS[kind](draw, true)) for true in draw.choices(numbers, k=count)]


def _signs(number: str) -> list[int]:
    return [at for at, sign in enumerate(number) if sign != "-"]
