"""The shop's code tables: machine classes, assemblies, decks, design letters.

Tables are values. A shop that needs another code makes a new value with :meth:`CodeTables.with_code`, which refuses a
code that looks or sounds like one already there; a code is never taken out, since marks that bear it live on.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal, assert_never

from service.errors import BadCode, CodeTooAlike, DesignLettersSpent, UnknownCode
from service.numbering.alike import alike, letters_alike

__all__ = ["CODE_LENGTHS", "DEFAULT_TABLES", "CodeTables", "TableName", "alike", "letters_alike"]

TableName = Literal["machine_class", "assembly", "deck"]

CODE_LENGTHS: Mapping[TableName, int] = MappingProxyType({"machine_class": 2, "assembly": 2, "deck": 1})
"""How many letters a code of each table has; the grammar rests on it, so a shop cannot change it."""

_CAPITALS = re.compile(r"[A-Z]+")
_WORDS: Mapping[TableName, str] = MappingProxyType(
    {"machine_class": "machine class", "assembly": "assembly", "deck": "deck"}
)


@dataclass(frozen=True)
class CodeTables:
    """The codes that a number of this shop may hold.

    Attributes:
        machine_classes: two-letter code to the machine's trade name, ``FC`` to ``filler-capper``.
        assemblies: two-letter code to the assembly's trade name, ``SW`` to ``star wheel``.
        decks: one-letter code to the deck's name, ``U`` to ``upper``.
        design_letters: single letters that tell containers of one nominal size apart, in the order they are given out.

    Raises:
        BadCode: a code or design letter that is malformed, or a code without a name.
        CodeTooAlike: two codes of one table that look or sound alike.
    """

    machine_classes: Mapping[str, str]
    assemblies: Mapping[str, str]
    decks: Mapping[str, str]
    design_letters: tuple[str, ...]

    def __post_init__(self) -> None:
        for table in CODE_LENGTHS:
            checked: dict[str, str] = {}
            for code, name in self.codes(table).items():
                _require_usable(table, code, name, checked)
                checked[code] = name
        for letter in self.design_letters:
            if not (len(letter) == 1 and _CAPITALS.fullmatch(letter)) or self.design_letters.count(letter) > 1:
                raise BadCode(
                    "a design letter is a single capital letter, once in the table",
                    field="design_letters",
                    value=letter,
                    todo="Give each design letter once, from A to Z",
                )
        # Frozen to the bottom: a caller's dictionary that changes later must not change the tables.
        object.__setattr__(self, "machine_classes", MappingProxyType(dict(self.machine_classes)))
        object.__setattr__(self, "assemblies", MappingProxyType(dict(self.assemblies)))
        object.__setattr__(self, "decks", MappingProxyType(dict(self.decks)))

    def codes(self, table: TableName) -> Mapping[str, str]:
        """The codes of one table with their names."""
        match table:
            case "machine_class":
                return self.machine_classes
            case "assembly":
                return self.assemblies
            case "deck":
                return self.decks
            case _ as never:
                assert_never(never)

    def name_of(self, table: TableName, code: str, *, place: str | None = None) -> str:
        """The name behind a code.

        Raises:
            UnknownCode: the code stands in no table; the message lists those that do.
        """
        name = self.codes(table).get(code)
        if name is None:
            raise UnknownCode(
                f"no {_WORDS[table]} has this code",
                field=table,
                value=code,
                todo=f"Use one of {', '.join(self.codes(table))}, or add the code to the shop's table",
                place=place,
            )
        return name

    def with_code(self, table: TableName, code: str, name: str) -> CodeTables:
        """These tables with one more code.

        Raises:
            BadCode: the code is malformed or has no name.
            CodeTooAlike: the code is in the table, or looks or sounds like one that is.
        """
        _require_usable(table, code, name, self.codes(table))
        match table:
            case "machine_class":
                return replace(self, machine_classes={**self.machine_classes, code: name})
            case "assembly":
                return replace(self, assemblies={**self.assemblies, code: name})
            case "deck":
                return replace(self, decks={**self.decks, code: name})
            case _ as never:
                assert_never(never)

    def is_design(self, letters: str) -> bool:
        """Whether this is a design letter, single or doubled."""
        return letters[:1] in self.design_letters and letters in (letters[0], letters[0] * 2)

    def require_design(self, letters: str, *, field: str, value: str | None, place: str | None = None) -> None:
        """Refuse what is no design letter.

        Raises:
            UnknownCode: it is none, single or doubled; the message lists the letters.
        """
        if not self.is_design(letters):
            raise UnknownCode(
                "no container has this design letter",
                field=field,
                value=value,
                todo=f"Use one of {', '.join(self.design_letters)}, one of them doubled, or leave the code out",
                place=place,
            )

    def design_letters_in_order(self) -> Iterator[str]:
        """All design letters in the order they are given out: A to Y single, then AA, CC, EE and on to YY."""
        yield from self.design_letters
        yield from (letter * 2 for letter in self.design_letters)

    def design_letter(self, n: int) -> str:
        """The design letter of the ``n``-th container of one nominal size, counted from 0.

        Raises:
            DesignLettersSpent: all single and doubled letters are given out.
        """
        count = len(self.design_letters)
        if not 0 <= n < 2 * count:
            raise DesignLettersSpent(
                f"a nominal size has {2 * count} design letters",
                field="design",
                value=n,
                todo="Register the container under its next nominal digits",
            )
        return self.design_letters[n % count] * (1 + n // count)


def _require_usable(table: TableName, code: str, name: str, present: Mapping[str, str]) -> None:
    length, word = CODE_LENGTHS[table], _WORDS[table]
    if len(code) != length or not _CAPITALS.fullmatch(code):
        raise BadCode(
            f"a code for {word} is {length} capital letter{'s' if length > 1 else ''} from A to Z",
            field=table,
            value=code,
            todo="Give a code of that form",
        )
    if not name.strip():
        raise BadCode(
            f"the code '{code}' has no name", field=table, value=name, todo="Give the trade name that it stands for"
        )
    for other, its_name in present.items():
        if alike(code, other):
            what = (
                f"'{other}' ({its_name}) is already in the table"
                if code == other
                else f"it looks or sounds like '{other}' ({its_name})"
            )
            raise CodeTooAlike(
                what,
                field=table,
                value=code,
                todo="Choose a code with a letter that neither looks nor sounds like its counterpart",
            )


DEFAULT_TABLES = CodeTables(
    machine_classes={
        "FC": "filler-capper",
        "FL": "filler",
        "CP": "capper",
        "LB": "labeller",
        "RN": "rinser",
        "UN": "unscrambler",
        "SM": "seamer",
        "CK": "corker",
        "BW": "blow moulder",
        "SV": "sleever",
        "PK": "packer",
    },
    assemblies={
        "SW": "star wheel",
        "TS": "timing screw",
        "CG": "centre guide",
        "OR": "outer guide",
        "RL": "rail",
        "BP": "bottle plate",
        "DC": "cap chute",
        "NG": "neck guide",
        "CH": "capping chuck",
        "LM": "label magazine",
        "WS": "wear strip",
        "BK": "bracket",
        "PU": "pusher",
    },
    decks={"L": "lower", "M": "middle", "U": "upper", "K": "neck", "X": "none"},
    design_letters=tuple("ACEFHJKMNPRTWXY"),
)
"""The codes a shop starts with."""
