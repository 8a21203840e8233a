"""Many short texts of one structure, turned on their sides: for each sign at each place, who has it there, as bits.

A structure is a row of halves, each some letters or some digits of varying length, with hyphens between groups. Bit
``n`` of a set stands for the ``n``-th text; one ``&`` of two Python integers asks something of all texts at once, and
takes a fraction of a microsecond for thousands of them.

Places are counted from the end of each half, so that texts of every length share them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

__all__ = ["HYPHEN", "Columns", "Node", "bits_of", "flags"]

HYPHEN = "-"
"""In a structure: here stands a hyphen. Everything else is the name of a half."""

_NONE = " "
_ZEROS = b"0" * 256
_FLAGS = bytes(value & 1 for value in range(256))


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """A place that a reader of texts stands before.

    Attributes:
        kind: ``fork`` before a half that may have several lengths, ``sign``, ``hyphen``, or ``end`` behind the last.
        ways: of a fork: who goes on from which node.
        has: of a sign: who has which sign here.
        alphabet: of a sign: the signs that anybody has here.
        after: the node behind this one; of a fork 0.
        most: how many signs may still come at most.
    """

    kind: str
    ways: tuple[tuple[int, int], ...] = ()
    has: Mapping[str, int] = field(default_factory=dict)
    alphabet: str = ""
    after: int = 0
    most: int = 0


class Columns:
    """Texts of one structure; a value, never changed.

    Attributes:
        structure: names of the halves, with hyphens where groups are parted.
        count: how many texts there are.
        everybody: the set of all of them.
        lengths: for each half, who has it how long.
        signs: for each half and each place from its end (the last is 0), who has which sign there.
        nodes: the places from left to right, forks before the signs they lead to.
    """

    __slots__ = ("count", "everybody", "lengths", "nodes", "signs", "structure")

    def __init__(
        self,
        structure: tuple[str, ...],
        count: int,
        lengths: tuple[dict[int, int], ...],
        signs: tuple[tuple[dict[str, int], ...], ...],
    ) -> None:
        self.structure = structure
        self.count = count
        self.everybody = (1 << count) - 1
        self.lengths = lengths
        self.signs = signs
        self.nodes = tuple(self._nodes())

    @classmethod
    def of(cls, structure: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> Columns:
        """The columns of texts, each given as its halves."""
        halves = sum(name != HYPHEN for name in structure)
        turned = list(zip(*rows, strict=True)) if rows else [()] * halves
        found = [_columns_of(values) for values in turned]
        return cls(structure, len(rows), tuple(half[0] for half in found), tuple(half[1] for half in found))

    def with_text(self, at: int, halves: tuple[str, ...]) -> Columns:
        """These columns with one more text, before the ``at``-th."""
        below, bit = (1 << at) - 1, 1 << at

        def opened(bits: int, *, here: bool) -> int:
            return (bits & below) | ((bits >> at) << (at + 1)) | (bit if here else 0)

        lengths, signs = [], []
        for half, long, columns in zip(halves, self.lengths, self.signs, strict=True):
            known = long.keys() | {len(half)}
            lengths.append({length: opened(long.get(length, 0), here=length == len(half)) for length in sorted(known)})
            places = []
            for place in range(1, max(len(columns), len(half)) + 1):
                own = half[-place] if len(half) >= place else " "
                column = columns[place - 1] if place <= len(columns) else {}
                alphabet = sorted(column.keys() | ({own} - {" "}))
                places.append({sign: opened(column.get(sign, 0), here=sign == own) for sign in alphabet})
            signs.append(tuple(places))
        return Columns(self.structure, self.count + 1, tuple(lengths), tuple(signs))

    def find(self, halves: tuple[str, ...]) -> int:
        """Which text has these halves, as a set; empty when none has."""
        left = self.everybody
        for half, long, columns in zip(halves, self.lengths, self.signs, strict=True):
            left &= long.get(len(half), 0)
            for place, sign in enumerate(reversed(half)):
                if not left:
                    return 0
                left &= columns[place].get(sign, 0)
        return left

    def _nodes(self) -> Iterator[Node]:
        halves = iter(zip(self.lengths, self.signs, strict=True))
        # What each node leads to is known once its number is: the halves are laid out before they are made.
        laid: list[tuple[dict[int, int], tuple[dict[str, int], ...]] | None] = [
            None if name == HYPHEN else next(halves) for name in self.structure
        ]
        rest = sum(len(half[1]) for half in laid if half is not None)
        at = 0
        for half in laid:
            if half is None:
                yield Node("hyphen", after=at + 1, most=rest)
                at += 1
                continue
            long, columns = half
            first = at
            if len(long) != 1:
                # Signs follow in the order of their places, the farthest from the end first.
                last = first + len(columns)
                ways = tuple((who, last + 1 - length) for length, who in sorted(long.items()))
                yield Node("fork", ways=ways, most=rest)
                at += 1
            for place in range(len(columns), 0, -1):
                has = columns[place - 1]
                yield Node("sign", has=has, alphabet="".join(has), after=at + 1, most=rest)
                at += 1
                rest -= 1
        yield Node("end", most=0)


def bits_of(bits: int) -> Iterator[int]:
    """The members of a set, in ascending order."""
    while bits:
        # Of a large set a piece is taken at a time: to take away one bit costs as much as the whole number is long.
        low = (bits & -bits).bit_length() - 1
        base = low - low % 64
        piece = (bits >> base) & 0xFFFF_FFFF_FFFF_FFFF
        bits = (bits >> (base + 64)) << (base + 64)
        while piece:
            one = piece & -piece
            yield base + one.bit_length() - 1
            piece ^= one


def flags(bits: int, count: int) -> bytes:
    """A set as one byte a text, 1 for its members."""
    return f"{bits:0{count}b}".encode()[::-1].translate(_FLAGS) if count else b""


def _columns_of(values: Sequence[str]) -> tuple[dict[int, int], tuple[dict[str, int], ...]]:
    """Who has a half how long, and who has which sign at which place of it."""
    # The last text is written first: bit 0 is the last digit of a binary number.
    turned = values[::-1]
    longest = max(map(len, values), default=0)
    lengths = _who("".join([chr(len(value)) for value in turned]))
    signs = tuple(
        _who("".join([value[-place] if len(value) >= place else _NONE for value in turned]))
        for place in range(1, longest + 1)
    )
    return (
        {ord(length): bits for length, bits in lengths.items()},
        tuple({sign: bits for sign, bits in column.items() if sign != _NONE} for column in signs),
    )


def _who(column: str) -> dict[str, int]:
    """For each character of a column the set of those who have it."""
    written = column.encode("latin-1")
    found = {}
    for value in sorted(set(written)):
        digits = bytearray(_ZEROS)
        digits[value] = ord("1")
        found[chr(value)] = int(written.translate(digits), 2)
    return found
