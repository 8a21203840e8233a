"""A part of a number: some of its groups, one behind the other."""

from __future__ import annotations

import re
from dataclasses import dataclass

from service.numbering.cleaning import Cleaned
from service.numbering.grammar import RULES
from service.numbering.tables import CodeTables

__all__ = ["Part", "read_part"]

_GROUP = re.compile(r"([A-Z]{1,4})([1-9][0-9]{0,5})")
_GROUPS = re.compile(rf"(?:{_GROUP.pattern})+(?:[0-9]{{2}})?")
_GROUPS_OF_A_NUMBER = 5


@dataclass(frozen=True, slots=True)
class Part:
    """A run of whole groups of a number, without a check.

    Attributes:
        printed: the groups as they are printed, with hyphens between them.
        halves: the letters and digits by their names.
    """

    printed: str
    halves: dict[str, str]


def read_part(cleaned: Cleaned, tables: CodeTables) -> Part | None:
    """The run of groups that a text is, if it is one. The leftmost groups that fit are taken; signs count as they are.

    Args:
        cleaned: the text; figures parted off at its end as a group of their own are taken for a check and left out.
        tables: the shop's code tables.
    """
    chars, end = cleaned.chars, len(cleaned.chars)
    if end - 2 in cleaned.breaks and chars[-2:].isdecimal():
        chars = chars[:-2]
    if not _GROUPS.fullmatch(chars):
        return None
    groups = [(found[1], found[2]) for found in _GROUP.finditer(chars)]
    for first in range(_GROUPS_OF_A_NUMBER - len(groups) + 1):
        halves: dict[str, str] = {}
        for n, (letters, digits) in enumerate(groups, first):
            letter_rule, digit_rule = RULES[2 * n], RULES[2 * n + 1]
            if not (
                letter_rule.shortest <= len(letters) <= letter_rule.longest
                and len(digits) <= digit_rule.longest
                and _in_tables(letter_rule.name, letters, tables)
            ):
                break
            halves |= {letter_rule.name: letters, digit_rule.name: digits}
        else:
            return Part("-".join(letters + digits for letters, digits in groups), halves)
    return None


def _in_tables(name: str, letters: str, tables: CodeTables) -> bool:
    match name:
        case "machine_class":
            return letters in tables.machine_classes
        case "design":
            return tables.is_design(letters)
        case "assembly":
            return letters in tables.assemblies
        case "deck":
            return letters in tables.decks
        case _:
            return True
