"""One segment in the paper book: its facts, revisions, pieces and joints, and the words that follow from them."""

from __future__ import annotations

from dataclasses import dataclass

from service.marks.book_joint import BookJoint
from service.marks.work_sheet import two_fours

Rgb = tuple[int, int, int]
Row = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRevision:
    """A released revision of a segment's cut file; ``changed`` says which joints and interfaces, in words."""

    letter: str
    released_on: str
    sha256: str
    changed: str
    note: str
    withdrawn: str

    def remarks(self) -> str:
        """What has to be known before it is cut; a withdrawal first."""
        return ". ".join(
            filter(
                None,
                (
                    f"WITHDRAWN {self.withdrawn}" if self.withdrawn else "",
                    f"Changes {self.changed}" if self.changed else "",
                    self.note,
                ),
            )
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BookPiece:
    """One piece with its key, or ``count`` like ones without.

    ``revision`` is None when its build is not known; ``ended`` says in words what became of it.
    """

    key: str | None
    set_number: int
    count: int
    revision: str | None
    condition: str
    made_on: str = ""
    material_batch: str = ""
    deviations: str = ""
    ended: str = ""

    def name(self) -> str:
        """The key in two fours, or how many pieces are meant."""
        return two_fours(self.key) if self.key else f"{self.count} pieces without keys" if self.count > 1 else "no key"

    def remarks(self) -> str:
        """What is particular to this piece."""
        return "; ".join(
            filter(
                None,
                (
                    self.ended,
                    f"reworked on site: {self.deviations}" if self.deviations else "",
                    f"batch {self.material_batch}" if self.material_batch else "",
                    f"made {self.made_on}" if self.made_on else "",
                ),
            )
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSegment:
    """Everything on record about one segment.

    Attributes:
        deck: in words, empty where there is none.
        position: ``segment 3 of 4``, empty for the only one of its deck.
        revision: the revision it was issued with; ``built`` that of the fitted pieces when all have the same.
        outline: names the drawing of ``built`` or ``revision`` among those handed to the setter.
        home_kit: the kit that numbered it.
        serves: the other kits that it serves.
    """

    number: str
    key: str
    place: str
    assembly_code: str
    assembly: str
    deck: str
    position: str
    hand: str
    quantity: int
    material: str
    colour: str
    colour_rgb: Rgb
    thickness_mm: float
    measured_thickness_mm: float | None
    mass_kg: float
    marked_face: str
    cut_file: str
    revision: str
    built: str | None
    outline: str
    home_kit: str
    serves: tuple[str, ...]
    revisions: tuple[BookRevision, ...]
    pieces: tuple[BookPiece, ...]
    joints: tuple[BookJoint, ...]

    def number_and_check(self) -> Row:
        """The number before its check, and the check."""
        body, _, check = self.number.rpartition("-")
        return body, check

    def label(self) -> str:
        """The short text in the plan: ``U3``."""
        return self.place.partition("-")[2]

    def sits(self) -> str:
        """Where it sits, in words."""
        deck = f"{self.deck} deck" if self.deck else ""
        return ", ".join(filter(None, (f"{self.assembly_code} {self.assembly}", deck, self.position)))

    def as_built(self) -> str:
        """The revision of the fitted pieces in words."""
        if self.built is not None:
            return f"revision {self.built}"
        if any(piece.condition == "fitted" for piece in self.pieces):
            return "see the pieces below"
        return "not on record"

    def built_letter(self) -> str:
        """The revision of the fitted pieces as a table shows it."""
        return "not on record" if self.as_built() == "not on record" else self.built or "several"

    def facts(self, kit: str) -> tuple[Row, ...]:
        """Label and value, the empty ones left out; ``kit`` is the kit that the book is of."""
        thickness = f"{self.thickness_mm:g} mm nominal"
        if self.measured_thickness_mm is not None:
            thickness += f", {self.measured_thickness_mm:g} mm measured"
        rows = (
            ("Sits in", self.sits()),
            ("Cut file", self.cut_file),
            ("Issued with", f"revision {self.revision}"),
            ("As built", self.as_built()),
            ("Material", self.material),
            ("Thickness", thickness),
            ("Mass", f"{mass_words(self.mass_kg)} each"),
            ("Quantity", f"{self.quantity} in a set" if self.quantity > 1 else "1"),
            ("Hand", f"{self.hand} looking downstream" if self.hand else ""),
            ("Stock colour", self.colour),
            ("Marked face", self.marked_face),
            ("Numbered by", self.home_kit if self.home_kit != kit else ""),
            ("Serves too", ", ".join(self.serves)),
        )
        return tuple(row for row in rows if row[1])


def mass_words(mass_kg: float) -> str:
    """A mass as people read it: kilograms, below 100 g grams."""
    return f"{mass_kg:.2f} kg" if mass_kg >= 0.1 else f"{mass_kg * 1000:.1f} g"
