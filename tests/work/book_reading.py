"""A reader of the paper book that has nothing but its text: it finds a part and decides what is cut as the book says.

It imports nothing of the service, and follows chapters 1, 5, 7, 8, 11 and 12 as a person with the booklet would.
"""

from __future__ import annotations

import hashlib
import itertools
import re
from dataclasses import dataclass, field

import pypdfium2

_LETTER = r"(?:-|[A-Z]{1,2})"
_LEVEL = rf"\d+ in {_LETTER}(?:, {_LETTER})*(?![A-Za-z])"
_LEVELS = re.compile(rf"{_LEVEL}(?:; {_LEVEL})*")
_SIDE = re.compile(r"([A-Z]{2}\d+-[A-Z]\d+) ((?:[A-Z]+\d+-){5}\d\d) ")
_REVISION = re.compile(rf"({_LETTER}) (\d{{4}}-\d\d-\d\d) ((?:[0-9a-f]{{8}} ?){{8}})(.*)")
_PIECE = re.compile(
    rf"(\w{{4}}-\w{{4}}|\d+ pieces without keys|no key) (\d+) (revision {_LETTER}|not on record) (\w+)(.*)"
)
_INDEX = re.compile(r"(\w{4}-\w{4}) ((?:[A-Z]+\d+-){5}\d\d) (\S+) (.+) (\d+)")


@dataclass
class Card:
    """What the page of a segment says."""

    number: str
    key: str
    page: int
    place: str = ""
    cut_file: str = ""
    material: str = ""
    hashes: dict[str, str] = field(default_factory=dict)
    remarks: dict[str, str] = field(default_factory=dict)
    pieces: list[tuple[str, int, str, str, str]] = field(default_factory=list)

    def built(self, set_number: int | None = None) -> str | None:
        """The one revision of the fitted pieces, of one set where the book holds several."""
        letters = {
            cut.removeprefix("revision ")
            for _, number, cut, condition, _ in self.pieces
            if condition == "fitted" and set_number in (None, number)
        }
        return None if len(letters) != 1 or letters == {"not on record"} else letters.pop()


@dataclass(frozen=True)
class Cut:
    """What the book says is cut: letters by number, and the SHA-256 of the broken segment's file."""

    outcome: str
    letters: dict[str, str]
    sha256: str | None


class BookReader:
    """A book that was read once, page by page."""

    def __init__(self, pdf: bytes) -> None:
        self.pages = [
            page.get_textpage().get_text_range().replace("\ufffe", "-").replace("\r", "")
            for page in pypdfium2.PdfDocument(pdf)
        ]
        self.cards: dict[str, Card] = {}
        self.joints: dict[frozenset[str], dict[str, dict[str, int]]] = {}
        self.index: dict[str, tuple[str, int]] = {}
        self._read_cards()
        self._read_joints()
        self._read_index()

    def pages_that_do_not_prove_themselves(self) -> list[int]:
        """Chapter 11 by hand."""
        found = []
        for number, text in enumerate(self.pages, 1):
            above, _, below = text.rpartition("Page check")
            value = hashlib.sha256("".join(above.replace("-", "").split()).encode()).hexdigest()[:8]
            if below.split()[:2] != [value[:4], value[4:]]:
                found.append(number)
        return found

    def find(self, half: str) -> list[Card]:
        """Every segment whose number holds what could be read, or whose key or piece's key it is."""
        read = half.upper().replace("-", "").replace(" ", "")
        by_key = {key.replace("-", ""): number for key, (number, _) in self.index.items()}
        if read in by_key:
            return [self.cards[by_key[read]]]
        return [card for card in self.cards.values() if read in card.number.replace("-", "")]

    def cut(self, card: Card, *, key: str | None = None, newest: bool = False) -> Cut:
        """Chapter 5, question by question; all neighbours survive."""
        of_set = next((piece[1] for piece in card.pieces if piece[0] == key), None)
        own = next((piece[2].removeprefix("revision ") for piece in card.pieces if piece[0] == key), None)
        built = card.built() if own is None else own
        if built is None or built == "not on record":
            return Cut("no record", {}, None)
        withdrawn = "WITHDRAWN" in card.remarks[built]
        as_built = Cut("as built", {card.number: built}, card.hashes[built])
        if not withdrawn and not newest:
            return as_built
        around = self._component(card.number)
        stands = {number: self.cards[number].built(of_set) for number in around}
        neighbours = [number for number in around if frozenset((number, card.number)) in self.joints]
        nothing = Cut("no record", {}, None) if withdrawn else as_built
        if any(stands[number] is None for number in neighbours):
            return nothing
        letters = list(card.hashes)
        may = [one for one in self._usable(card) if one != built]
        if not withdrawn:
            may = [one for one in may if letters.index(one) > letters.index(built)]
        for letter in reversed(may):
            if not self._interfaces(card, built, letter) and all(
                self._locks(card.number, letter, other, stands[other] or "") for other in neighbours
            ):
                return Cut("newest that fits", {card.number: letter}, card.hashes[letter])
        for letter in reversed(may):
            locks = all(self._locks(card.number, letter, other, stands[other] or "") for other in neighbours)
            chosen = None if locks and not withdrawn else self._smallest(card.number, letter, around, stands)
            if chosen is not None:
                return Cut("newest with neighbours", chosen, card.hashes[letter])
        return nothing

    def _smallest(
        self, number: str, letter: str, around: list[str], stands: dict[str, str | None]
    ) -> dict[str, str] | None:
        """Every set of others, the small ones first, in every combination of revisions, the newest first."""
        others = [one for one in around if one != number]
        for size in range(len(others) + 1):
            for some in itertools.combinations(others, size):
                for letters in itertools.product(*(self._usable(self.cards[one])[::-1] for one in some)):
                    build = {**stands, number: letter, **dict(zip(some, letters, strict=True))}
                    cut = {number, *some}
                    if all(
                        self._locks(one, build[one] or "", two, build[two] or "")
                        for one, two in map(tuple, self.joints)
                        if {one, two} & cut
                    ):
                        return {one: build[one] or "" for one in cut}
        return None

    def _component(self, number: str) -> list[str]:
        found, edge = {number}, {number}
        while edge:
            edge = {one for pair in self.joints for one in pair if pair & edge} - found
            found |= edge
        return [one for one in self.cards if one in found]

    def _locks(self, one: str, letter: str, other: str, others: str) -> bool:
        levels = self.joints[frozenset((one, other))]
        return letter in levels[one] and levels[one].get(letter) == levels[other].get(others)

    def _usable(self, card: Card) -> list[str]:
        return [letter for letter in card.hashes if "WITHDRAWN" not in card.remarks[letter]]

    def _interfaces(self, card: Card, built: str, letter: str) -> set[str]:
        letters = list(card.hashes)
        low, high = sorted((letters.index(built), letters.index(letter)))
        between = " ".join(card.remarks[one] for one in letters[low + 1 : high + 1])
        names = ("hub bore", "bolt pattern", "pocket", "outside contour", "thickness")
        changes = " ".join(re.findall(r"Changes ([^.]*)", between))
        return {name for name in names if name in changes}

    def _read_cards(self) -> None:
        card, revision = None, ""
        for page, text in enumerate(self.pages, 1):
            lines = text.split("\n")
            for at, line in enumerate(lines):
                if line.startswith("Number, its check in the frame"):
                    card = Card(lines[at + 1].replace(" ", "-"), lines[at + 3], page, place=lines[at + 5])
                    self.cards[card.number] = card
                    revision = ""
                if card is None or "8 Joint table" in line:
                    card = None
                    continue
                for label, name in (("Cut file ", "cut_file"), ("Material ", "material")):
                    if line.startswith(label) and not getattr(card, name):
                        setattr(card, name, line.removeprefix(label))
                if row := _REVISION.fullmatch(line):
                    revision = row[1]
                    card.hashes[revision] = row[3].replace(" ", "")
                    card.remarks[revision] = row[4]
                elif line.startswith(("Piece of ", "Page check")) or " joins " in line:
                    revision = ""
                elif row := _PIECE.fullmatch(line):
                    card.pieces.append((row[1], int(row[2]), row[3], row[4], row[5]))
                elif revision:
                    card.remarks[revision] += " " + line

    def _read_joints(self) -> None:
        text = " ".join(" ".join(self._body(page)) for page in self.pages)
        _, _, rest = text.rpartition("8 Joint table ")
        table, _, _ = rest.partition("9 Materials and colours")
        sides = list(_SIDE.finditer(table))
        ends = [*(side.start() for side in sides[1:]), len(table)][: len(sides)]
        told = [(side[2], self._levels(table[side.end() : end])) for side, end in zip(sides, ends, strict=True)]
        for first, second in zip(told[::2], told[1::2], strict=True):
            self.joints[frozenset((first[0], second[0]))] = dict((first, second))

    @staticmethod
    def _levels(cells: str) -> dict[str, int]:
        found = _LEVELS.search(cells)
        assert found is not None, cells
        return {
            letter: int(level)
            for level, letters in (part.split(" in ") for part in found[0].split("; "))
            for letter in letters.split(", ")
        }

    def _read_index(self) -> None:
        for page in self.pages:
            for line in page.split("\n"):
                if row := _INDEX.fullmatch(line):
                    self.index[row[1]] = (row[2], int(row[5]))

    @staticmethod
    def _body(page: str) -> list[str]:
        """The lines between head and foot."""
        above, _, _ = page.rpartition("Page check")
        return above.split("\n")[1:]
