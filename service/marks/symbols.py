"""Symbols as modules: QR Code, Data Matrix and Code 128, encoded but not yet drawn.

Each encoder is another code base than the decoder that reads every print back (``render.read_back``), so that no fault
can hide in both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from barcode.codex import Code128
from ppf.datamatrix import DataMatrix

from service.errors import SymbolDoesNotFit
from service.marks.qr_masks import QrLevel as QrLevel
from service.marks.qr_masks import best_masked

SymbolKind = Literal["qr", "data_matrix", "code128"]

#: Width of the ink-free zone round a symbol in modules. QR Code 4X: ISO/IEC 18004, as segno's default border states it;
#: Data Matrix 1X: ISO/IEC 16022; Code 128 10X at its two ends: ISO/IEC 15417 (clause numbers not at hand).
QUIET_ZONE_MODULES: dict[SymbolKind, int] = {"qr": 4, "data_matrix": 1, "code128": 10}

#: What people call the symbols.
SYMBOL_NAMES: dict[SymbolKind, str] = {"qr": "QR Code", "data_matrix": "Data Matrix", "code128": "Code 128"}

#: The characters of QR Code's alphanumeric mode. Source: ISO/IEC 18004 (from memory, well known).
QR_ALPHANUMERIC = frozenset("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")

#: Longest text that each kind takes on a mark. Data Matrix beyond 144 × 144 and QR Code beyond version 40 do not exist;
#: what a mark holds is far shorter, and the encoders are not asked to grind on nonsense.
LONGEST_TEXT: dict[SymbolKind, int] = {"qr": 300, "data_matrix": 300, "code128": 80}


# A run of dark modules in a row of them as bytes.
_DARK = re.compile(b"\x01+")


@dataclass(frozen=True, slots=True)
class Modules:
    """A symbol as rows of modules, True for dark, without its quiet zone. Code 128 is a single row."""

    rows: tuple[tuple[bool, ...], ...]

    @property
    def width(self) -> int:
        """Modules in a row."""
        return len(self.rows[0])

    @property
    def height(self) -> int:
        """Number of rows."""
        return len(self.rows)

    def runs(self) -> Iterator[tuple[int, int, int]]:
        """Dark runs as (column, row, length), row by row."""
        for row_index, row in enumerate(self.rows):
            for run in _DARK.finditer(bytes(row)):
                yield run.start(), row_index, run.end() - run.start()

    def rectangles(self) -> tuple[tuple[int, int, int, int], ...]:
        """The dark modules as rectangles (column, row, width, height): runs, equal ones below each other joined."""
        found: list[tuple[int, int, int, int]] = []
        above: dict[tuple[int, int], int] = {}
        for row, modules in enumerate(self.rows):
            here: dict[tuple[int, int], int] = {}
            # Half the time of a page goes here: no generator in between.
            for run in _DARK.finditer(bytes(modules)):
                column, end = run.span()
                first = above.get((column, end), row)
                here[column, end] = first
            found += [
                (column, first, end - column, row - first)
                for (column, end), first in above.items()
                if (column, end) not in here
            ]
            above = here
        found += [(column, first, end - column, self.height - first) for (column, end), first in above.items()]
        return tuple(found)


PAIR_99 = 99
"""Value of the digits 99 in code set C of Code 128, and of the switch to set C in the others."""


def encode(kind: SymbolKind, text: str) -> Modules:
    """The modules of ``text`` in a symbol of ``kind``.

    Raises:
        SymbolDoesNotFit: the text is empty, too long, or holds what the symbol cannot.
    """
    return {"qr": qr, "data_matrix": data_matrix, "code128": code128}[kind](text)


@lru_cache(maxsize=1024)
def qr(text: str, level: QrLevel = "Q") -> Modules:
    """QR Code (ISO/IEC 18004, model 2) in its smallest version at an error correction level.

    The text is an upper-case link: only characters of the alphanumeric mode are taken, since any other makes a phone
    guess the character set and makes the symbol a third larger. The level is not raised beyond ``level`` where
    room is left, so that equal lengths give equal sizes.
    """
    _demand_length("qr", text)
    _demand_set("qr", text, QR_ALPHANUMERIC, "QR Code's alphanumeric mode")
    return Modules(best_masked(text, level))


@lru_cache(maxsize=1024)
def data_matrix(text: str) -> Modules:
    """Data Matrix ECC 200 (ISO/IEC 16022), always square."""
    _demand_length("data_matrix", text)
    _demand_set("data_matrix", text, frozenset(map(chr, range(128))), "the 128 characters of ISO/IEC 646")
    return Modules(tuple(tuple(bool(module) for module in row) for row in DataMatrix(text, rect=False).matrix))


@lru_cache(maxsize=1024)
def code128(text: str) -> Modules:
    """Code 128 (ISO/IEC 15417) with its check symbol and stop, as one row of modules."""
    _demand_length("code128", text)
    _demand_set("code128", text, frozenset(map(chr, range(32, 127))), "the printable characters of ISO/IEC 646")
    bars = _Code128(text).build()[0]
    return Modules((tuple(module == "1" for module in bars),))


class _Code128(Code128):  # type: ignore[misc]  # the library carries no types
    """The library's encoder, with the digits 99 at the beginning kept.

    In code set C the pair 99 has the value that in the other sets switches to C (ISO/IEC 15417, table 1), and the
    library, tidying up after its start symbol, would take it for such a switch and drop it.
    """

    def _try_to_optimize(self, encoded: list[int]) -> list[int]:
        if encoded[1] == PAIR_99:
            return encoded
        optimised: list[int] = super()._try_to_optimize(encoded)
        return optimised


def _demand_length(kind: SymbolKind, text: str) -> None:
    if not text:
        raise SymbolDoesNotFit(
            f"there is nothing to put into the {SYMBOL_NAMES[kind]}",
            field=kind,
            value=text,
            todo="Give the mark a number and a key",
        )
    if len(text) > LONGEST_TEXT[kind]:
        raise SymbolDoesNotFit(
            f"{len(text)} characters are more than a {SYMBOL_NAMES[kind]} of a mark holds ({LONGEST_TEXT[kind]})",
            field=kind,
            value=text,
            todo="Shorten the text, for example the public address of the service",
        )


def _demand_set(kind: SymbolKind, text: str, allowed: frozenset[str], name: str) -> None:
    for position, char in enumerate(text):
        if char not in allowed:
            raise SymbolDoesNotFit(
                f"'{char}' is not one of {name}",
                field=kind,
                value=text,
                todo="Use only characters that the symbol holds",
                place=f"character {position + 1}",
            )
