"""What stands in the paper book of a kit: plain values of the records, and the words and rows that follow from them.

The book answers what the service answers, without it: which part a number or a key names, where it sits, from which
released bytes it was cut, and which revision locks into what survived. Nothing here knows a page; how often a page ends
is the setter's business.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from service.marks.book_joint import KitJoint
from service.marks.book_revision import WorkedExample
from service.marks.book_segment import BookSegment, Rgb, Row
from service.marks.work_sheet import two_fours

SPENT = "spent"
"""What the page of the spent numbers is called in the index."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpentNumber:
    """A place that was given up: its number names nothing else for ever; ``piece_keys`` are on pieces made for it."""

    number: str
    key: str
    place: str
    reason: str
    piece_keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PastRow:
    """Something that held from a day to a day, in words."""

    since: str
    until: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyedRow:
    """What is known about a dimension of the machine, how it was come by, when and by whom."""

    what: str
    value: str
    how: str
    surveyed_on: str
    surveyed_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SameMachine:
    """Somebody's word that another machine is the same where an assembly meets it; a withdrawn one says so."""

    machine: str
    assembly: str
    interface: str
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OlderMark:
    """A mark that was in use before the numbers: what sort of thing it means and which, who says so.

    ``has_page``: ``means`` is the number of a segment with a page of its own.
    """

    mark: str
    kind: str
    means: str
    said: str
    has_page: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BookMaterial:
    """A material of this kit, as the material table of the shop gives it; None where it stands in no table."""

    name: str
    density_g_cm3: float | None
    alpha_per_k: float | None
    max_continuous_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeWords:
    """What the groups of this kit's numbers stand for: code and word, those of this kit only."""

    plant: str
    line: str
    machine: str
    machine_class: str
    container: str
    assemblies: tuple[Row, ...]
    decks: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class KeyRow:
    """A line of the index: a key in two fours, its segment, what bears it, and who tells: a chapter or a number."""

    key: str
    number: str
    place: str
    bears: str
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A kit as its paper book tells it.

    Attributes:
        container: the container in words, with its code in ``container_code``.
        container_facts: shape, measures and the like, label and value.
        machine: name and designation; ``turns`` its rotation seen from above, or empty.
        born, now: the line of the number, and where the machine stands.
        issued_on: date of issue.
        retired: since when and why it is out of use; empty while it is in use.
        past: where the machine stood, and earlier names of plant and line.
        check_first: why it must be held against its machine before it is used again.
        ledger: the tip of the journal when the book was made, as it is printed; ``records_of`` the day of that row.
        segments: own segments in the order of the machine, then those of other kits that serve here.
        joints: every joint of theirs once.
        example_choice: a choice of revision that is worked out for this kit.
        surveyed: what is known of the machine's dimensions.
        same: which machines are the same as this one, and where.
        older: what people and papers called these things before.
    """

    kit: str
    retired: str
    container: str
    container_code: str
    container_facts: tuple[Row, ...]
    serves: tuple[str, ...]
    customer: str
    plant: str
    machine: str
    turns: str
    born: str
    now: str
    colour: str
    colour_rgb: Rgb
    issued_on: str
    ledger: str
    shop_name: str
    shop_address: str
    shop_telephone: str
    codes: CodeWords
    segments: tuple[BookSegment, ...]
    spent: tuple[SpentNumber, ...]
    materials: tuple[BookMaterial, ...]
    cautions: tuple[str, ...]
    records_of: str = ""
    joints: tuple[KitJoint, ...] = ()
    example_choice: WorkedExample | None = None
    past: tuple[PastRow, ...] = ()
    surveyed: tuple[SurveyedRow, ...] = ()
    same: tuple[SameMachine, ...] = ()
    older: tuple[OlderMark, ...] = ()
    check_first: tuple[str, ...] = ()

    def decks(self) -> Iterator[tuple[tuple[str, str, str], tuple[BookSegment, ...]]]:
        """The segments under (kit that numbered them, assembly, deck), in the order of the book."""
        for head, group in groupby(
            self.segments, key=lambda one: (one.home_kit, f"{one.assembly_code} {one.assembly}", one.deck)
        ):
            yield head, tuple(group)

    def kit_facts(self) -> tuple[Row, ...]:
        """What stands on the cover, label and value, the empty ones left out."""
        pieces = sum(one.quantity for one in self.segments)
        rows = (
            ("Customer", self.customer),
            ("Plant", self.plant),
            ("Machine", f"{self.machine}, turns {self.turns}" if self.turns else self.machine),
            ("Line at birth", self.born),
            ("Line now", self.now),
            *self.container_facts,
            ("Serves too", ", ".join(self.serves)),
            ("Stock colour", self.colour),
            ("Holds", f"{_counted(len(self.segments), 'segment')}, {_counted(pieces, 'piece')} in a set"),
            ("Issued", self.issued_on),
            ("RETIRED", self.retired),
            ("Records of", self.records_of),
            ("Ledger tip", self.ledger),
        )
        return tuple(row for row in rows if row[1])

    def example(self) -> tuple[str, str]:
        """A number of this kit and its key, for the worked examples; of one in use, where there is one."""
        of = self.segments[0] if self.segments else self.spent[0]
        return of.number, of.key

    def shop_lines(self) -> tuple[str, ...]:
        """The shop as it is reached, the empty lines left out."""
        telephone = f"telephone {self.shop_telephone}" if self.shop_telephone else ""
        return tuple(filter(None, (self.shop_name, self.shop_address, telephone)))

    def key_rows(self) -> tuple[KeyRow, ...]:
        """Every key in the order of its symbols, with what it names and what bears it."""
        rows: list[KeyRow] = []
        for segment in self.segments:
            rows.append(KeyRow(two_fours(segment.key), segment.number, segment.place, "segment", segment.number))
            rows += [
                KeyRow(
                    two_fours(piece.key),
                    segment.number,
                    segment.place,
                    f"piece, set {piece.set_number}, {piece.condition}",
                    segment.number,
                )
                for piece in segment.pieces
                if piece.key
            ]
        for spent in self.spent:
            rows.append(KeyRow(spent.key, spent.number, spent.place, "place given up", SPENT))
            rows += [
                KeyRow(key, spent.number, spent.place, "piece of a place given up", SPENT) for key in spent.piece_keys
            ]
        return tuple(sorted(rows, key=lambda row: row.key))


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
