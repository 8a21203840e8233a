"""The number of a segment and its parts, as frozen values that parse, print and sort.

``OSV4-FC1-A500-SW2-U3-42``: plant and line, machine, container, assembly, place, check. All values order by the natural
order of their groups, so ``SW2`` comes before ``SW12``. ``str`` gives the printed form and ``parse`` takes it back.
Parsing is strict; ``reading.read`` is what takes texts from people and scanners.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from service.errors import BadCheck, UnknownCode
from service.numbering.check import check_digits, is_valid
from service.numbering.content import nominal_digits
from service.numbering.grammar import require_digits, require_letters, split
from service.numbering.tables import CODE_LENGTHS, DEFAULT_TABLES, CodeTables, TableName

__all__ = [
    "ContainerCode",
    "KitNumber",
    "LineName",
    "MachineName",
    "Number",
    "Place",
    "nominal_digits",
    "require_codes",
]

_TABLE_OF: dict[str, TableName] = {table: table for table in CODE_LENGTHS}


@dataclass(frozen=True, slots=True, order=True)
class LineName:
    """A line of a plant: ``OSV4``."""

    plant: str
    line: int

    def __post_init__(self) -> None:
        require_letters("plant", self.plant)
        require_digits("line", self.line)

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:  # noqa: ARG003 - all parts parse alike
        """The line in a text. Plant codes stand in the records, so no table is asked.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
        """
        halves = split(text, "plant", "line", field="line")
        return cls(halves["plant"], int(halves["line"]))

    def __str__(self) -> str:
        return f"{self.plant}{self.line}"


@dataclass(frozen=True, slots=True, order=True)
class MachineName:
    """A machine by the place it was born in: ``OSV4-FC1``."""

    plant: str
    line: int
    machine_class: str
    machine: int

    def __post_init__(self) -> None:
        require_letters("plant", self.plant)
        require_digits("line", self.line)
        require_letters("machine_class", self.machine_class)
        require_digits("machine", self.machine)

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:
        """The machine in a text.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
            UnknownCode: a machine class that stands in no table.
        """
        halves = split(text, "plant", "machine", field="machine")
        require_codes(halves, text, tables)
        return cls(halves["plant"], int(halves["line"]), halves["machine_class"], int(halves["machine"]))

    @property
    def line_name(self) -> LineName:
        """The line that the machine was born on."""
        return LineName(self.plant, self.line)

    def __str__(self) -> str:
        return f"{self.plant}{self.line}-{self.machine_class}{self.machine}"


@dataclass(frozen=True, slots=True, order=True)
class ContainerCode:
    """A container: its design letter and its nominal content as a reminder, ``A500``."""

    design: str
    nominal: int

    def __post_init__(self) -> None:
        require_letters("design", self.design)
        require_digits("nominal", self.nominal)

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:
        """The container in a text.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
            UnknownCode: a letter that is no design letter.
        """
        halves = split(text, "design", "nominal", field="container")
        require_codes(halves, text, tables)
        return cls(halves["design"], int(halves["nominal"]))

    def __str__(self) -> str:
        return f"{self.design}{self.nominal}"


@dataclass(frozen=True, slots=True, order=True)
class KitNumber:
    """A kit, the set of change parts for one machine and one container: ``OSV4-FC1-A500``."""

    plant: str
    line: int
    machine_class: str
    machine: int
    design: str
    nominal: int

    def __post_init__(self) -> None:
        require_letters("plant", self.plant)
        require_digits("line", self.line)
        require_letters("machine_class", self.machine_class)
        require_digits("machine", self.machine)
        require_letters("design", self.design)
        require_digits("nominal", self.nominal)

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:
        """The kit in a text.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
            UnknownCode: a machine class or design letter that stands in no table.
        """
        halves = split(text, "plant", "nominal", field="kit")
        require_codes(halves, text, tables)
        return cls(
            halves["plant"],
            int(halves["line"]),
            halves["machine_class"],
            int(halves["machine"]),
            halves["design"],
            int(halves["nominal"]),
        )

    @property
    def machine_name(self) -> MachineName:
        """The machine that the kit was made for."""
        return MachineName(self.plant, self.line, self.machine_class, self.machine)

    @property
    def container(self) -> ContainerCode:
        """The container that the kit was made for."""
        return ContainerCode(self.design, self.nominal)

    def __str__(self) -> str:
        return f"{self.plant}{self.line}-{self.machine_class}{self.machine}-{self.design}{self.nominal}"


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A position in a kit: ``SW2-U3``, the third segment on the upper deck of star wheel 2."""

    assembly: str
    assembly_ordinal: int
    deck: str
    ordinal: int

    def __post_init__(self) -> None:
        require_letters("assembly", self.assembly)
        require_digits("assembly_ordinal", self.assembly_ordinal)
        require_letters("deck", self.deck)
        require_digits("ordinal", self.ordinal)

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:
        """The place in a text.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
            UnknownCode: an assembly or deck that stands in no table.
        """
        halves = split(text, "assembly", "ordinal", field="place")
        require_codes(halves, text, tables)
        return cls(halves["assembly"], int(halves["assembly_ordinal"]), halves["deck"], int(halves["ordinal"]))

    def __str__(self) -> str:
        return f"{self.assembly}{self.assembly_ordinal}-{self.deck}{self.ordinal}"


@dataclass(frozen=True, slots=True, order=True)
class Number:
    """The number of a segment: a kit, a place in it, and the check that follows from both."""

    kit: KitNumber
    place: Place

    @classmethod
    def parse(cls, text: str, tables: CodeTables = DEFAULT_TABLES) -> Self:
        """The number in a text as it is printed, with its check.

        Raises:
            BadCharacter, BadNumber: the text leaves the grammar, by position.
            UnknownCode: a code that stands in no table.
            BadCheck: the check digits do not fit what stands before them.
        """
        halves = split(text, "plant", "check", field="number")
        require_codes(halves, text, tables)
        if not is_valid(text):
            raise BadCheck(
                f"the check digits {halves['check']} do not fit what stands before them",
                field="number",
                value=text,
                todo="Read the mark again and compare every sign",
                place=f"character {len(text) - 1}",
            )
        letters_and_digits = list(halves.values())
        plant, line, machine_class, machine, design, nominal = letters_and_digits[:6]
        assembly, assembly_ordinal, deck, ordinal = letters_and_digits[6:10]
        return cls(
            KitNumber(plant, int(line), machine_class, int(machine), design, int(nominal)),
            Place(assembly, int(assembly_ordinal), deck, int(ordinal)),
        )

    @property
    def body(self) -> str:
        """What stands before the check: ``OSV4-FC1-A500-SW2-U3``."""
        return f"{self.kit}-{self.place}"

    @property
    def check(self) -> str:
        """The two check digits."""
        return check_digits(self.body)

    @property
    def compact(self) -> str:
        """The number without hyphens: ``OSV4FC1A500SW2U342``."""
        return str(self).replace("-", "")

    def __str__(self) -> str:
        body = self.body
        return f"{body}-{check_digits(body)}"


def require_codes(halves: dict[str, str], text: str, tables: CodeTables) -> None:
    """Refuse codes that stand in no table.

    Args:
        halves: the halves of the text, as :func:`service.numbering.grammar.split` gives them.
        text: the text, to say where in it the code stands.
        tables: the shop's tables.

    Raises:
        UnknownCode: the first such code; the message lists those of the table.
    """
    at = 0
    for name, value in halves.items():
        at = text.index(value, at)
        place = f"character {at + 1}"
        if name == "design" and not tables.is_design(value):
            raise UnknownCode(
                "no design letter looks like this",
                field=name,
                value=value,
                todo=f"Use one of {', '.join(tables.design_letters)}, single or doubled",
                place=place,
            )
        if name in _TABLE_OF:
            tables.name_of(_TABLE_OF[name], value, place=place)
        at += len(value)
