"""The grammar of a number, and the error that says where a text leaves it.

Every group but the check is letters then digits, so a number reads the same with its hyphens lost. Digits have no fixed
width and no leading zeros.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from service.errors import BadCharacter, BadNumber

__all__ = ["CANONICAL", "COMPACT", "RULES", "Rule", "require_digits", "require_letters", "split"]

CANONICAL = re.compile(
    r"""
    (?P<plant>            [A-Z]{3,4}      )     # plant code, frozen for ever
    (?P<line>             [1-9][0-9]?     ) -   # line ordinal in the plant
    (?P<machine_class>    [A-Z]{2}        )     # what kind of machine
    (?P<machine>          [1-9][0-9]?     ) -   # ordinal of that class ever installed on that line
    (?P<design>           ([A-Z])\6?      )     # design letter, single or doubled
    (?P<nominal>          [1-9][0-9]{0,5} ) -   # nominal content as a reminder
    (?P<assembly>         [A-Z]{2}        )     # what kind of assembly
    (?P<assembly_ordinal> [1-9][0-9]?     ) -   # ordinal in flow
    (?P<deck>             [A-Z]           )     # deck
    (?P<ordinal>          [1-9][0-9]{0,2} ) -   # segment ordinal
    (?P<check>            [0-9]{2}        )     # ISO/IEC 7064 MOD 97-10 over all that stands before
    """,
    re.VERBOSE,
)
"""A number as it is printed. Whether the check fits and the codes are in the tables is asked afterwards."""

COMPACT = re.compile(CANONICAL.pattern.replace(") -   #", ")     #"), re.VERBOSE)
"""A number with its hyphens lost."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One half of a group: some letters, or some digits.

    Attributes:
        name: the name of the field.
        kind: whether the half is letters or digits.
        shortest: the fewest signs.
        longest: the most signs, leading zeros not counted.
        opens_group: whether a hyphen stands before it when anything does.
        says: what is expected here, for a person.
    """

    name: str
    kind: Literal["letters", "digits"]
    shortest: int
    longest: int
    opens_group: bool
    says: str

    @property
    def largest(self) -> int:
        """The largest ordinal or nominal content that the half holds."""
        return int(10**self.longest) - 1


RULES = (
    Rule("plant", "letters", 3, 4, True, "a plant code of 3 or 4 letters"),
    Rule("line", "digits", 1, 2, False, "a line ordinal from 1 to 99"),
    Rule("machine_class", "letters", 2, 2, True, "a machine class of 2 letters"),
    Rule("machine", "digits", 1, 2, False, "a machine ordinal from 1 to 99"),
    Rule("design", "letters", 1, 2, True, "a design letter, single or doubled"),
    Rule("nominal", "digits", 1, 6, False, "a nominal content from 1 to 999999"),
    Rule("assembly", "letters", 2, 2, True, "an assembly code of 2 letters"),
    Rule("assembly_ordinal", "digits", 1, 2, False, "an assembly ordinal from 1 to 99"),
    Rule("deck", "letters", 1, 1, True, "a deck letter"),
    Rule("ordinal", "digits", 1, 3, False, "a segment ordinal from 1 to 999"),
    Rule("check", "digits", 2, 2, True, "two check digits"),
)
"""The halves of a number from left to right."""

_BY_NAME = {rule.name: rule for rule in RULES}
_WRITTEN = re.compile(r"[A-Z0-9-]*")
_RUNS = {
    rule.name: re.compile(
        rf"[A-Z]{{{rule.shortest},{rule.longest}}}"
        if rule.kind == "letters"
        else "[0-9]{2}"
        if rule.name == "check"
        else rf"[1-9][0-9]{{0,{rule.longest - 1}}}"
    )
    for rule in RULES
}


def split(text: str, first: str, last: str, *, field: str) -> dict[str, str]:
    """The halves of a text from one rule to another, strictly as printed.

    Args:
        text: the text.
        first: the name of the rule that the text begins with.
        last: the name of the rule that the text ends with.
        field: what the text is, for the error.

    Raises:
        BadCharacter: a character that no number holds, by position.
        BadNumber: the text leaves the grammar; ``place`` says at which character.
    """
    written = _WRITTEN.match(text)
    end = written.end() if written else 0
    if end < len(text):
        raise BadCharacter(
            "a number is written in capital letters, digits and hyphens",
            field=field,
            value=text,
            todo="Correct the character",
            position=end,
        )
    names = list(_BY_NAME)
    halves: dict[str, str] = {}
    at = 0
    for name in names[names.index(first) : names.index(last) + 1]:
        rule = _BY_NAME[name]
        if halves and rule.opens_group:
            if text[at : at + 1] != "-":
                raise _leaves(text, at, "a hyphen", field)
            at += 1
        run = _RUNS[name].match(text, at)
        if run is None or (name == "design" and len(set(run.group())) > 1):
            raise _leaves(text, at, rule.says, field)
        halves[name] = run.group()
        at = run.end()
    if at < len(text):
        raise _leaves(text, at, "the end", field)
    return halves


def require_letters(name: str, value: str) -> None:
    """Refuse letters that the half cannot hold.

    Raises:
        BadNumber: they do not fit the rule of that name.
    """
    doubled = name != "design" or len(set(value)) == 1
    if not (doubled and _RUNS[name].fullmatch(value)):
        raise _unfit(name, value)


def require_digits(name: str, value: int) -> None:
    """Refuse an ordinal or nominal content that the half cannot hold.

    Raises:
        BadNumber: it is no whole number from 1 to the largest of the rule of that name.
    """
    if type(value) is not int or not 1 <= value <= _BY_NAME[name].largest:
        raise _unfit(name, value)


def _unfit(name: str, value: object) -> BadNumber:
    return BadNumber(f"expected {_BY_NAME[name].says}", field=name, value=value, todo="Correct this part")


def _leaves(text: str, at: int, expected: str, field: str) -> BadNumber:
    found = f"'{text[at]}'" if at < len(text) else "the end"
    return BadNumber(
        f"expected {expected} at character {at + 1}, found {found}",
        field=field,
        value=text,
        todo="Write it like OSV4-FC1-A500-SW2-U3-42, with hyphens and without leading zeros",
        place=f"character {at + 1}",
    )
