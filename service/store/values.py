"""What the store answers with: frozen values, never rows of a session.

Times are ISO 8601 text in UTC, lengths in mm, masses in kg; the unit stands in the name. Ids are the database's row
ids: good inside one service, never printed and never part of an address.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """What every plate says of the shop, and its address in parts; empty texts until they are set."""

    name: str
    address: str
    telephone: str
    street: str = ""
    postal_code: str = ""
    town: str = ""
    country: str = ""


@dataclass(frozen=True, slots=True)
class PlantRow:
    """A plant and its customer by name."""

    id: int
    code: str
    name: str
    customer_id: int
    customer: str


@dataclass(frozen=True, slots=True)
class LineRow:
    """A line of a plant."""

    id: int
    plant_id: int
    ordinal: int
    name: str


@dataclass(frozen=True, slots=True)
class MachineRow:
    """A machine under its birth designation; ``rotation`` is seen from above."""

    id: int
    born_line_id: int
    machine_class: str
    ordinal: int
    name: str
    rotation: str | None


@dataclass(frozen=True, slots=True)
class ContainerRow:
    """What runs. ``nominal`` is the exact content as it was given, in ``unit``; ``nominal_digits`` the reminder."""

    id: int
    customer_id: int
    design: str
    nominal_digits: int
    name: str
    nominal: str
    unit: str
    shape: str | None
    diameter_mm: float | None
    width_mm: float | None
    depth_mm: float | None
    min_body_mm: float | None
    max_body_mm: float | None
    height_mm: float | None
    neck_finish: str | None
    drawing_issue: str | None

    @property
    def code(self) -> str:
        """The container's group in a number, for example ``A500``."""
        return f"{self.design}{self.nominal_digits}"


@dataclass(frozen=True, slots=True)
class RevisionRow:
    """A released revision of a cut file, without its bytes and without its drawing.

    ``joints_changed`` names each joint by the neighbour's number or place; ``withdrawn_at`` is None while the
    revision may be cut.
    """

    id: int
    cut_file_id: int
    cut_file: str
    letter: str
    ordinal: int
    sha256: str
    size_bytes: int
    note: str
    units: str
    area_mm2: float
    width_mm: float
    height_mm: float
    released_at: str
    withdrawn_at: str | None
    withdrawn_reason: str | None
    joints_changed: tuple[str, ...]
    interfaces_changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CutFileSummary:
    """A cut file in a list. ``revision`` is the newest that is not withdrawn; ``segments`` counts its users."""

    id: int
    name: str
    revision: str | None
    revisions: int
    released_at: str
    segments: int


@dataclass(frozen=True, slots=True)
class AssemblyRow:
    """An assembly of a kit; ``position`` is its place in the order of the manifest."""

    id: int
    kit_id: int
    code: str
    ordinal: int
    name: str
    position: int


@dataclass(frozen=True, slots=True)
class SegmentRow:
    """A segment with its assembly, its cut file and the revision that it was issued with (``revision`` the letter)."""

    id: int
    number: str
    key: str
    kit_id: int
    kit_number: str
    assembly_id: int
    assembly_code: str
    assembly_ordinal: int
    assembly_name: str
    assembly_position: int
    deck: str
    ordinal: int
    quantity: int
    hand: str | None
    material: str
    stock_colour: str
    thickness_mm: float
    measured_thickness_mm: float | None
    mass_kg: float
    marked_face: str | None
    cut_file_id: int
    cut_file: str
    revision_id: int
    revision: str
    status: str
    void_reason: str | None

    @property
    def place(self) -> str:
        """Assembly and place inside the kit, for example ``SW2-U3``."""
        return f"{self.assembly_code}{self.assembly_ordinal}-{self.deck}{self.ordinal}"

    @property
    def voided(self) -> bool:
        """Whether the place was given up; its number stays spent."""
        return self.status == "voided"


@dataclass(frozen=True, slots=True)
class KitRow:
    """A kit with its machine, plant and primary container.

    ``born_line`` and ``plant`` are those of the number; ``now_line`` and the name ``now_plant`` say where the machine
    stands today, None when it stands on no line.
    """

    id: int
    number: str
    machine: MachineRow
    born_line: LineRow
    now_line: LineRow | None
    now_plant: str | None
    plant: PlantRow
    container: ContainerRow
    stock_colour: str
    status: str
    issued_at: str
    version: int

    @property
    def stands_on(self) -> str | None:
        """Where the machine stands now, in words; the plant is named where it is another than the machine's first."""
        if self.now_line is None:
            return None
        line = self.now_line
        return line.name if line.plant_id == self.plant.id else f"{line.name}, {self.now_plant}"

    @property
    def retired(self) -> bool:
        """Whether the kit is out of use for good."""
        return self.status == "retired"


@dataclass(frozen=True, slots=True)
class KitSummary:
    """A kit in a list; ``segments`` counts places that are not voided, ``line`` and ``plant`` are those of today."""

    number: str
    container_name: str
    machine_code: str
    plant: str
    customer: str
    line: LineRow | None
    stock_colour: str
    segments: int
    issued_at: str
    status: str


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece, or ``count`` like ones without keys. ``revision`` is the letter that it was cut from, if known.

    ``end`` says what became of a scrapped piece: its kind, the note beside it, when, and the reorder that replaced it.
    """

    id: int
    key: str | None
    segment_id: int
    set_number: int
    count: int
    revision_id: int | None
    revision: str | None
    made_at: str | None
    material_batch: str | None
    deviations: str | None
    condition: str
    end: str | None = None
    end_note: str | None = None
    ended_at: str | None = None
    end_reorder_id: int | None = None


@dataclass(frozen=True, slots=True)
class SegmentEnd:
    """One side of a joint."""

    id: int
    number: str
    place: str


@dataclass(frozen=True, slots=True)
class JointRow:
    """The interlocking edge between two segments."""

    id: int
    first: SegmentEnd
    second: SegmentEnd
    form: str | None
    clearance_mm: float | None
    inferred: bool

    def other(self, segment_id: int) -> SegmentEnd:
        """The side across from a segment.

        Raises:
            KeyError: the segment is on neither side.
        """
        if segment_id == self.first.id:
            return self.second
        if segment_id == self.second.id:
            return self.first
        raise KeyError(segment_id)


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A mark that was rendered; ``piece_id`` is None when it stands for all pieces of the segment."""

    id: int
    segment_id: int
    piece_id: int | None
    kind: str
    form: str
    text: str
    state: str
    made_at: str
    verified_by: str | None


@dataclass(frozen=True, slots=True)
class ReorderRow:
    """A reorder with the segment's number, what to cut and the new piece's key; ``decision`` is JSON text.

    ``step`` is the state of its last step and ``step_at`` when that was taken; None before the first one is written.
    """

    id: int
    segment_id: int
    damaged_piece_id: int | None
    new_piece_id: int | None
    quantity: int
    reason: str
    prefer: str
    outcome: str
    revision_id: int | None
    decision: str
    state: str
    ordered_at: str
    number: str
    cut_file: str | None
    revision: str | None
    sha256: str | None
    new_key: str | None
    step: str | None
    step_at: str | None
    promised_on: str | None
    report_id: int | None


@dataclass(frozen=True, slots=True)
class EventRow:
    """One line of the journal; ``before`` and ``after`` are canonical JSON text."""

    id: int
    at: str
    actor: str
    verb: str
    subject: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class KeyOwner:
    """What a key stands for: one piece, or every piece of a segment when ``piece_id`` is None."""

    key: str
    segment_id: int
    number: str
    piece_id: int | None
