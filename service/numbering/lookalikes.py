"""Every way to read letters and digits as a number, look-alikes included.

A sign may stand for a letter or a digit that it looks like. Its place in the grammar decides first: a ``0`` where a
letter belongs is ``O``, ``D`` or ``Q``. The code tables decide next, then the check, then what was issued; the last two
are left to the caller.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice, pairwise, product

from service.numbering.alike import SIGN_CLASSES
from service.numbering.check import is_valid
from service.numbering.cleaning import Cleaned
from service.numbering.grammar import RULES
from service.numbering.outcome import Repair, merged
from service.numbering.tables import CodeTables

__all__ = ["Typed", "readings"]

_AS_DIGIT = {sign: signs[0] for signs in SIGN_CLASSES for sign in signs} | {digit: digit for digit in "0123456789"}
_AS_LETTERS: dict[str, str] = {letter: letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
for _signs in SIGN_CLASSES:
    for _sign in _signs:
        _AS_LETTERS[_sign] = _AS_LETTERS.get(_sign, "") + _signs[1:].replace(_sign, "")

_ZEROS = 3  # leading zeros that are taken off one group
_SHORTEST = sum(rule.shortest for rule in RULES[:-1])
_LONGEST = sum(rule.longest + (_ZEROS if rule.kind == "digits" else 0) for rule in RULES)
_MOST = 2048


@dataclass(frozen=True, slots=True)
class Typed:
    """One way to read a text as a number, with or without its check.

    Attributes:
        halves: the letters and digits of the groups, without leading zeros; the check last, if the text has one.
        at: for each sign of :attr:`compact` its position in the text as given.
        repairs: look-alikes that were replaced and zeros that were dropped.
        optional: how many look-alikes were replaced although their place and the code tables allow them as they are.
        broken: how many hyphens or blanks would stand inside a code or a figure.
        hyphenated: whether hyphens or blanks stand before every group and nowhere else.
    """

    halves: tuple[str, ...]
    at: tuple[int, ...]
    repairs: tuple[Repair, ...]
    optional: int
    broken: int
    hyphenated: bool

    @property
    def body(self) -> str:
        """What stands before the check, as it is printed."""
        groups = ["".join(self.halves[n : n + 2]) for n in range(0, 10, 2)]
        return "-".join(groups)

    @property
    def check(self) -> str | None:
        """The check digits as they were read, if the text has them."""
        return self.halves[10] if len(self.halves) > 10 else None

    @property
    def compact(self) -> str:
        """All signs without hyphens."""
        return "".join(self.halves)

    @property
    def fits(self) -> bool:
        """Whether the text has check digits and they fit."""
        return self.check is not None and is_valid(self.compact)

    def named(self) -> dict[str, str]:
        """The halves by their names."""
        return {rule.name: half for rule, half in zip(RULES, self.halves, strict=False)}


def readings(cleaned: Cleaned, tables: CodeTables, *, look_alikes: bool = True) -> list[Typed]:
    """The ways to read a text as a number whose codes stand in the tables.

    Args:
        cleaned: the text.
        tables: the shop's code tables.
        look_alikes: whether signs may stand for what they look like.

    Returns:
        At most 2048 readings. When one has all hyphens where they are printed, check included, only such are given.
    """
    if not _SHORTEST <= len(cleaned.chars) <= _LONGEST:
        return []
    reader = _Reader(cleaned, tables, look_alikes=look_alikes)
    found = list(islice(reader.all(), _MOST))
    hyphenated = [typed for typed in found if typed.hyphenated and typed.check is not None]
    return hyphenated or found


class _Reader:
    """The search for one text: where the groups part, and what each sign stands for."""

    def __init__(self, cleaned: Cleaned, tables: CodeTables, *, look_alikes: bool) -> None:
        self._cleaned = cleaned
        self._look_alikes = look_alikes
        self._codes = {
            "machine_class": tables.machine_classes.keys(),
            "design": set(tables.design_letters_in_order()),
            "assembly": tables.assemblies.keys(),
            "deck": tables.decks.keys(),
        }
        self._dead_ends: set[tuple[int, int]] = set()
        self._options: dict[tuple[int, int, int], list[tuple[str, int]]] = {}

    def all(self) -> Iterator[Typed]:
        for cuts in self._cuts(0, 0):
            yield from self._read(cuts)

    def _cuts(self, n: int, start: int) -> Iterator[tuple[int, ...]]:
        """The places where each half begins and, last, where the text ends."""
        end = len(self._cleaned.chars)
        if n == len(RULES) - 1:
            if start == end:
                yield (start,)
            elif end - start == 2 and self._half(n, start, end):
                yield (start, end)
            return
        if (n, start) in self._dead_ends:
            return
        rule = RULES[n]
        longest = rule.longest + (_ZEROS if rule.kind == "digits" else 0)
        alive = False
        for stop in range(start + rule.shortest, min(start + longest, end) + 1):
            if self._half(n, start, stop):
                for rest in self._cuts(n + 1, stop):
                    alive = True
                    yield (start, *rest)
        if not alive:
            self._dead_ends.add((n, start))

    def _half(self, n: int, start: int, stop: int) -> list[tuple[str, int]]:
        """What some signs can stand for in a half, each with the number of optional replacements."""
        options = self._options.get((n, start, stop))
        if options is None:
            signs = self._cleaned.chars[start:stop]
            rule = RULES[n]
            if rule.kind == "letters":
                options = self._letters(rule.name, signs)
            else:
                figure = self._digits(signs)
                figure = figure if rule.name == "check" else figure.lstrip("0")
                options = [(figure, 0)] if rule.shortest <= len(figure) <= rule.longest else []
            self._options[n, start, stop] = options
        return options

    def _digits(self, signs: str) -> str:
        if not self._look_alikes:
            return signs if signs.isdecimal() else ""
        figures = [_AS_DIGIT.get(sign, "") for sign in signs]
        return "".join(figures) if all(figures) else ""

    def _letters(self, name: str, signs: str) -> list[tuple[str, int]]:
        codes = self._codes.get(name)
        if signs.isalpha() and (not self._look_alikes or (codes is not None and signs in codes)):
            return [(signs, 0)] if codes is None or signs in codes else []
        if not self._look_alikes:
            return []
        options = []
        for letters in product(*(_AS_LETTERS.get(sign, "") for sign in signs)):
            code = "".join(letters)
            if codes is None:
                changed = sum(sign.isalpha() and sign != letter for sign, letter in zip(signs, code, strict=True))
                options.append((code, changed))
            elif code in codes:
                options.append((code, 0))
        return options

    def _read(self, cuts: tuple[int, ...]) -> Iterator[Typed]:
        cleaned, halves = self._cleaned, list(pairwise(cuts))
        broken = len(cleaned.breaks - set(cuts))
        groups = {start for (start, _), rule in zip(halves, RULES, strict=False) if rule.opens_group} - {0}
        for choice in product(*(self._half(n, start, stop) for n, (start, stop) in enumerate(halves))):
            at: list[int] = []
            repairs: list[Repair] = []
            for (start, stop), (half, _) in zip(halves, choice, strict=True):
                kept = stop - len(half)
                repairs += (Repair(cleaned.at[i], cleaned.read_at(i), "") for i in range(start, kept))
                at += cleaned.at[kept:stop]
                repairs += (
                    Repair(cleaned.at[i], cleaned.read_at(i), sign)
                    for i, sign in enumerate(half, kept)
                    if sign != cleaned.chars[i]
                )
            yield Typed(
                halves=tuple(half for half, _ in choice),
                at=tuple(at),
                repairs=merged(*cleaned.repairs, *repairs),
                optional=sum(optional for _, optional in choice),
                broken=broken,
                hyphenated=cleaned.breaks == groups,
            )
