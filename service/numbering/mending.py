"""What a number or key with one slip may have been: the texts one slip away that are right.

A slip is one wrong sign, two neighbours swapped, one sign dropped or one doubled. Only texts whose check fits are
given; which of them were issued the records say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from service.numbering.alike import SIGN_CLASSES
from service.numbering.check import is_valid
from service.numbering.cleaning import Cleaned
from service.numbering.grammar import COMPACT
from service.numbering.key import ALPHABET, LENGTH, weighted_sum
from service.numbering.outcome import Repair
from service.numbering.tables import CodeTables

__all__ = ["Mended", "keys_alike", "mended_keys", "mended_numbers", "right_key"]

_SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
_TURNED = {"6": "9", "9": "6", "M": "W", "W": "M"}  # what half a turn makes of a sign
_LOOKS_LIKE = {
    frozenset((one, other)) for signs in (*SIGN_CLASSES, "69", "MW") for one in signs for other in signs if one != other
}
_IN_ALPHABET = {
    sign: "".join(other for other in signs if other in ALPHABET)
    for signs in SIGN_CLASSES
    for sign in signs
    if sign not in ALPHABET
}


@dataclass(frozen=True, slots=True)
class Mended:
    """A text that is right after a slip was undone.

    Attributes:
        text: the printed number, or the key without hyphen.
        repairs: the slip undone.
        rank: how likely the slip is; 0 is the likeliest (a look-alike or a turned sign), then two neighbours swapped,
            then a sign dropped or doubled, then any other wrong sign.
    """

    text: str
    repairs: tuple[Repair, ...]
    rank: int


def mended_numbers(chars: str, at: tuple[int, ...], origin: str, tables: CodeTables) -> Iterator[Mended]:
    """The numbers one slip away from letters and digits that are no number, or whose check does not fit.

    Args:
        chars: the letters and digits.
        at: for each its position in ``origin``.
        origin: the text as it was given.
        tables: the shop's code tables.
    """
    for text, repairs, rank in _one_slip_away(chars, at, origin, _SIGNS):
        found = COMPACT.fullmatch(text)
        if (
            found
            and is_valid(text)
            and found["machine_class"] in tables.machine_classes
            and tables.is_design(found["design"])
            and found["assembly"] in tables.assemblies
            and found["deck"] in tables.decks
        ):
            group = found.group
            printed = "-".join(
                (
                    group("plant") + group("line"),
                    group("machine_class") + group("machine"),
                    group("design") + group("nominal"),
                    group("assembly") + group("assembly_ordinal"),
                    group("deck") + group("ordinal"),
                    group("check"),
                )
            )
            yield Mended(printed, repairs, rank)


def right_key(symbols: str) -> bool:
    """Whether this is a key: eight symbols of its alphabet, not all one, whose weighted sum fits."""
    return (
        len(symbols) == LENGTH
        and all(symbol in ALPHABET for symbol in symbols)
        and len(set(symbols)) > 1
        and not weighted_sum(symbols)
    )


def keys_alike(cleaned: Cleaned) -> Iterator[Mended]:
    """The keys that a text is when each sign outside the key's alphabet stands for the one in it that it looks like."""
    chars = cleaned.chars
    if len(chars) != LENGTH:
        return
    for symbols in product(*(sign if sign in ALPHABET else _IN_ALPHABET.get(sign, "") for sign in chars)):
        key = "".join(symbols)
        if key != chars and right_key(key):
            yield Mended(
                key,
                tuple(
                    Repair(cleaned.at[n], cleaned.read_at(n), symbol)
                    for n, symbol in enumerate(key)
                    if symbol != chars[n]
                ),
                0,
            )


def mended_keys(cleaned: Cleaned) -> Iterator[Mended]:
    """The keys one slip away from a text, and those it is with some signs turned by half a turn."""
    chars = cleaned.chars
    if not LENGTH - 1 <= len(chars) <= LENGTH + 1:
        return
    for text, repairs, rank in _one_slip_away(chars, cleaned.at, cleaned.origin, ALPHABET):
        if right_key(text):
            yield Mended(text, repairs, rank)
    if len(chars) == LENGTH:
        for symbols in product(*(sign + _TURNED.get(sign, "") for sign in chars)):
            turned = [n for n, symbol in enumerate(symbols) if symbol != chars[n]]
            if len(turned) > 1 and right_key("".join(symbols)):
                yield Mended(
                    "".join(symbols),
                    tuple(Repair(cleaned.at[n], cleaned.read_at(n), symbols[n]) for n in turned),
                    0,
                )


def _one_slip_away(
    chars: str, at: tuple[int, ...], origin: str, signs: str
) -> Iterator[tuple[str, tuple[Repair, ...], int]]:
    for n, sign in enumerate(chars):
        before, behind, here = chars[:n], chars[n + 1 :], at[n]
        for other in signs:
            if other != sign:
                rank = 0 if frozenset((sign, other)) in _LOOKS_LIKE else 3
                yield before + other + behind, (Repair(here, origin[here], other),), rank
        if behind and behind[0] != sign:
            there = at[n + 1]
            swap = (Repair(here, origin[here], behind[0]), Repair(there, origin[there], sign))
            yield before + behind[0] + sign + behind[1:], swap, 1
        if behind and behind[0] == sign:
            there = at[n + 1]
            yield before + behind, (Repair(there, origin[there], ""),), 2
    for n in range(len(chars) + 1):
        here = at[n] if n < len(at) else at[-1] + 1
        for other in signs:
            yield chars[:n] + other + chars[n:], (Repair(here, "", other),), 2
