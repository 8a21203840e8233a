"""What the pages of the floor and the service desk show."""

from __future__ import annotations

from dataclasses import dataclass

from service.web.views import Colour, Form, Number, Page, Picture


@dataclass(frozen=True, slots=True)
class FloorDetails:
    """What only signed-in people see behind a scanned code."""

    kit: str
    machine: str
    line_now: str
    plant: str
    customer: str
    plan: Picture | None
    cut_file: str
    revision: str
    material: str
    thickness_mm: float
    neighbours: tuple[Number, ...]
    serves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FloorCard:
    """The page that a scanned code opens: the nameplate's facts, and ``details`` for signed-in people."""

    number: Number
    key: str
    container_name: str
    container_code: str
    assembly: str
    deck: str
    place: str
    segment_of: str
    hand: str
    mass_kg: float
    lifting: str
    quantity: int
    set_number: int | None
    colour: Colour
    shop_name: str
    shop_telephone: str
    cautions: tuple[str, ...]
    voided_reason: str
    condition: str
    details: FloorDetails | None


@dataclass(frozen=True, slots=True)
class Repair:
    """A character that was read as another one."""

    position: int
    read: str
    meant: str

    @property
    def words(self) -> str:
        """The repair as a person says it; positions count from 1 on a page."""
        at = f"character {self.position + 1}"
        if not self.meant:
            return f"{at}: “{self.read}” was dropped"
        if not self.read:
            return f"{at}: “{self.meant}” was added"
        return f"{at}: “{self.read}” was read as “{self.meant}”"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A segment that a mark may mean, and what was assumed to get there."""

    number: Number
    place: str
    assembly: str
    container: str
    assumed: tuple[str, ...]
    picture: Picture | None


@dataclass(frozen=True, slots=True)
class Group:
    """One group of a well-formed text read out: ``OSV4`` "plant Ostrey Vale, line 4"."""

    text: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What a mark said that did not lead straight to one segment."""

    mark: str
    outcome: str
    number: Number | None
    repairs: tuple[Repair, ...]
    candidates: tuple[Candidate, ...]
    groups: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece of a segment as it was built."""

    key: str
    set_number: int
    count: int
    revision: str
    condition: str
    made_at: str
    material_batch: str
    deviations: str


@dataclass(frozen=True, slots=True)
class Neighbour:
    """The segment on the other side of a joint."""

    number: Number
    place: str
    form: str
    clearance_mm: float | None
    inferred: bool
    as_built: str
    survives: bool = True

    @property
    def joint(self) -> str:
        """The joint in words: its form, clearance and whether it was inferred from the outlines."""
        words = [f"{self.form} joint" if self.form else "joint"]
        if self.clearance_mm is not None:
            words.append(f"clearance {self.clearance_mm:g} mm")
        if self.inferred:
            words.append("inferred from the outlines")
        return ", ".join(words)


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A revision in a segment's history."""

    letter: str
    released_at: str
    note: str
    changed: tuple[str, ...]
    withdrawn_reason: str


@dataclass(frozen=True, slots=True)
class EventLine:
    """One entry of the journal."""

    at: str
    actor: str
    words: str


@dataclass(frozen=True, slots=True)
class SegmentCard:
    """Everything on record about one segment."""

    number: Number
    key: str
    mark: str
    repairs: tuple[Repair, ...]
    kit: str
    container_name: str
    container_code: str
    assembly: str
    deck: str
    place: str
    segment_of: str
    hand: str
    machine: str
    line_now: str
    born_on: str
    plant: str
    customer: str
    material: str
    colour: Colour
    thickness_mm: float
    measured_thickness_mm: float | None
    mass_kg: float
    lifting: str
    quantity: int
    voided_reason: str
    cut_file: str
    current_revision: str
    revisions: tuple[RevisionLine, ...]
    picture: Picture | None
    plan: Picture | None
    pieces: tuple[PieceRow, ...]
    neighbours: tuple[Neighbour, ...]
    serves: tuple[str, ...]
    events: tuple[EventLine, ...]
    cautions: tuple[str, ...]
    broken_piece: str
    retry_key: str
    form: Form


@dataclass(frozen=True, slots=True)
class CutToo:
    """A neighbour that must be cut as well."""

    number: Number
    cut_file: str
    revision: str
    why: str


@dataclass(frozen=True, slots=True)
class ReorderCard:
    """The page of a reorder: which revision to cut, and why."""

    id: int
    number: Number
    key: str
    outcome: str
    outcome_words: str
    reasons: tuple[str, ...]
    cut_file: str
    revision: str
    sha256: str
    also_cut: tuple[CutToo, ...]
    quantity: int
    reason: str
    prefer: str
    state: str
    ordered_at: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReorderRow:
    """One line of the list of reorders."""

    id: int
    number: Number
    outcome_words: str
    quantity: int
    reason: str
    state: str
    ordered_at: str


@dataclass(frozen=True, slots=True)
class ReorderList:
    """A part of the list of reorders, the newest first."""

    reorders: tuple[ReorderRow, ...]
    page: Page
