"""What the tolerant reader answers, and what it asks of the records."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal, Protocol, runtime_checkable

from service.numbering.tables import CodeTables

__all__ = ["Candidate", "Outcome", "PartRegister", "Reading", "Register", "Repair", "Source", "merged", "read_out"]

Outcome = Literal["exact", "repaired", "candidates", "unknown"]
Source = Literal["number", "key", "link", "message"]


class Register(Protocol):
    """The records, as far as reading a mark needs them."""

    def issued_numbers(self, numbers: Collection[str]) -> Collection[str]:
        """Those of the printed numbers that were ever issued."""
        ...

    def issued_keys(self, keys: Collection[str]) -> Collection[str]:
        """Those of the keys, without hyphen, that were ever issued."""
        ...


@runtime_checkable
class PartRegister(Register, Protocol):
    """Records that can also say whether a run of groups stands in an issued number."""

    def issued_parts(self, parts: Collection[str]) -> Collection[str]:
        """Those of the printed runs of groups (``FC1-A500``, ``SW2-U3``) that stand in some issued number."""
        ...


@dataclass(frozen=True, slots=True)
class Repair:
    """One sign that was read as another.

    Attributes:
        position: where it stands in the text as it was given, from 0; for a sign that was put in, where it belongs.
        read: the sign as given; empty when the text lacks it.
        as_: the sign it was read as; empty when it was dropped.
    """

    position: int
    read: str
    as_: str

    def __str__(self) -> str:
        if not self.as_:
            return f"'{self.read}' dropped at character {self.position + 1}"
        if not self.read:
            return f"'{self.as_}' put in at character {self.position + 1}"
        return f"'{self.read}' read as '{self.as_}' at character {self.position + 1}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something issued that the text may mean.

    Attributes:
        number: the printed number, if it is one.
        key: the key without hyphen, if it is one.
        repairs: what was changed to read it so.
        assumed: what else was taken for granted, one clause each.
        part: the printed run of groups, if only a part of a number was meant.
    """

    number: str | None = None
    key: str | None = None
    repairs: tuple[Repair, ...] = ()
    assumed: tuple[str, ...] = ()
    part: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a text says.

    Attributes:
        outcome: ``exact``: issued and right as it stands. ``repaired``: one issued number or key is left after the
            repairs. ``candidates``: several are left, or one that nobody should take unasked. ``unknown``: none.
        number: the printed number, when one was settled.
        key: the key without hyphen, when one was settled.
        repairs: what was changed, from left to right.
        candidates: best first, none preselected.
        groups: for a text that is well formed but was never issued, each group's name and the group read out.
        note: one sentence for a person.
        source: what the text was.
    """

    outcome: Outcome
    number: str | None = None
    key: str | None = None
    repairs: tuple[Repair, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    groups: tuple[tuple[str, str], ...] = ()
    note: str = ""
    source: Source = "number"


def merged(*repairs: Repair) -> tuple[Repair, ...]:
    """Repairs from left to right; of two at one sign that was replaced twice, the later one counts."""
    last: dict[tuple[int, bool], Repair] = {(repair.position, bool(repair.read)): repair for repair in repairs}
    return tuple(last[place] for place in sorted(last))


def read_out(halves: Mapping[str, str], tables: CodeTables) -> tuple[tuple[str, str], ...]:
    """The groups of a number or of a part of one, each with its name and read out in words."""
    groups = []
    if "plant" in halves:
        plant, line = halves["plant"], halves["line"]
        groups.append(("line", f"{plant}{line} plant {plant}, line {line}"))
    if "machine_class" in halves:
        code, ordinal = halves["machine_class"], halves["machine"]
        groups.append(("machine", f"{code}{ordinal} {tables.machine_classes[code]} {ordinal}"))
    if "design" in halves:
        design, nominal = halves["design"], halves["nominal"]
        groups.append(("container", f"{design}{nominal} design {design}, nominal content {nominal}"))
    if "assembly" in halves:
        code, ordinal = halves["assembly"], halves["assembly_ordinal"]
        groups.append(("assembly", f"{code}{ordinal} {tables.assemblies[code]} {ordinal}"))
    if "deck" in halves:
        code, ordinal = halves["deck"], halves["ordinal"]
        deck = "no deck" if tables.decks[code] == "none" else f"{tables.decks[code]} deck"
        groups.append(("place", f"{code}{ordinal} {deck}, segment {ordinal}"))
    if "check" in halves:
        groups.append(("check", halves["check"]))
    return tuple(groups)
