"""What stands on the work sheet of a reorder: plain values in, headings, rows and steps out.

The sheet goes with the material through the shop. It says which piece is made, from which released bytes and why, what
it must lock into, and what the person at the router ticks off.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from service.marks.engraving import Engraving
from service.outlines.drawing import Drawing

OUTCOME_WORDS: dict[str, str] = {
    "exact": "exact copy of the damaged piece, as built",
    "exact_with_deviations": "exact copy of the damaged piece, then reworked as listed",
    "current_fits": "newest revision; it locks into every neighbour",
    "current_needs_neighbours": "newest revision; the neighbours listed below are cut too",
    "no_record": "no record of what was built",
}
"""The outcomes of a reorder decision in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AlsoCutRow:
    """A neighbour that has to be cut with the segment."""

    number: str
    cut_file: str
    revision: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRow:
    """One interlocking edge of the segment.

    Attributes:
        neighbour: number or place of the segment on the other side.
        form: the joint's form, for example ``dovetail``.
        clearance_mm: clearance a side, if it is known.
        fits: what is known of the fit, for example ``same joint revision``.
    """

    neighbour: str
    form: str
    clearance_mm: float | None
    fits: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkSheet:
    """Everything that stands on the sheet.

    Attributes:
        title: for example ``Work sheet for reorder 17``.
        number: the printed number of the segment.
        key: the key of the new piece; ``further_keys`` those of more pieces of the same order.
        kit: number of the kit.
        container: the container in words, for example ``A500 tall round 500 mL``.
        assembly: where it belongs, in words, for example ``discharge star wheel 2, upper deck, segment 3 of 4``.
        customer, plant, line, machine: where the machine stands now.
        reason: why it was ordered.
        ordered: when, with a time zone.
        outcome: one of :data:`OUTCOME_WORDS`.
        reasons: why this revision.
        cut_file, revision, sha256: the released bytes; all None when nothing can be cut yet.
        material, colour, colour_rgb, thickness_mm, mass_kg: the stock, and the mass of one piece.
        thickness_asked: what to ask for instead of the nominal thickness, in words, where the neighbours were measured.
        quantity: pieces to make.
        hand: ``LEFT``, ``RIGHT`` or empty.
        drawing: the outline of that revision, if there is one to show.
        engraving: the text that is cut into it, shown on the outline.
    """

    title: str
    number: str
    key: str
    further_keys: tuple[str, ...] = ()
    kit: str
    container: str
    assembly: str = ""
    customer: str
    plant: str
    line: str
    machine: str
    reason: str
    ordered: datetime
    outcome: str
    reasons: tuple[str, ...]
    cut_file: str | None
    revision: str | None
    sha256: str | None
    material: str
    colour: str
    colour_rgb: tuple[int, int, int]
    thickness_mm: float | None
    mass_kg: float | None
    quantity: int
    hand: str = ""
    also_cut: tuple[AlsoCutRow, ...] = ()
    joints: tuple[JointRow, ...] = ()
    cautions: tuple[str, ...] = ()
    shop_name: str
    shop_telephone: str
    drawing: Drawing | None = None
    engraving: Engraving | None = None
    thickness_asked: str = ""

    def number_and_check(self) -> tuple[str, str]:
        """The number before its check, and the check."""
        body, _, check = self.number.rpartition("-")
        return body, check

    def ordered_text(self) -> str:
        """The time of the order in UTC, ISO 8601 to the minute."""
        return self.ordered.astimezone(UTC).strftime("%Y-%m-%dT%H:%MZ")

    def decision(self) -> str:
        """The heading over the cut file."""
        words = OUTCOME_WORDS.get(self.outcome, self.outcome)
        if self.cut_file is None:
            return f"DO NOT CUT YET: {words}"
        return f"CUT REVISION {self.revision}: {words}"

    def keys(self) -> tuple[str, ...]:
        """Every key in two fours."""
        return tuple(two_fours(key) for key in (self.key, *self.further_keys))

    def stock_rows(self) -> tuple[tuple[str, str], ...]:
        """What the router operator needs: label and value, the empty ones left out."""
        rows = (
            ("Material", self.material),
            ("Colour", self.colour),
            ("Thickness", self._thickness()),
            ("Mass", "" if self.mass_kg is None else f"{self.mass_kg:.2f} kg each"),
            ("Quantity", str(self.quantity)),
            ("Hand", f"{self.hand} looking downstream" if self.hand else ""),
        )
        return tuple(row for row in rows if row[1])

    def _thickness(self) -> str:
        if self.thickness_asked:
            return self.thickness_asked
        return "" if self.thickness_mm is None else f"{self.thickness_mm:g} mm nominal"

    def place_rows(self) -> tuple[tuple[str, str], ...]:
        """What the piece is for and where it goes, the empty ones left out."""
        rows = (
            ("Container", self.container),
            ("Belongs in", self.assembly),
            ("Kit", self.kit),
            ("Customer", self.customer),
            ("Plant", self.plant),
            ("Line now", self.line),
            ("Machine now", self.machine),
            ("Reason", self.reason),
        )
        return tuple(row for row in rows if row[1])

    def steps(self) -> tuple[str, ...]:
        """What is ticked off, in the order of the work; a run of underscores is a space to write in."""
        if self.cut_file is None:
            return ("Revision settled with the service desk: ________",)
        nominal = "" if self.thickness_mm is None else f" (nominal {self.thickness_mm:g} mm)"
        asked = f" (asked: {self.thickness_asked})" if self.thickness_asked else nominal
        return (
            f"Sheet thickness measured: ________ mm{asked}",
            "Mark engraved before the profile was cut",
            "Mark proved by scan",
            "Fitted, joints closed by hand",
        )


def two_fours(key: str) -> str:
    """A key as people read it: ``K7M4-XRAW``."""
    symbols = key.replace("-", "").replace(" ", "")
    return f"{symbols[:4]}-{symbols[4:]}"


def in_groups(digest: str, size: int = 8) -> str:
    """A SHA-256 in groups that the eye can compare."""
    return " ".join(digest[start : start + size] for start in range(0, len(digest), size))
