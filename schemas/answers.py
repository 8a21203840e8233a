"""What the service answers about kits, segments, marks and reorders."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field


class Answer(BaseModel):
    """The base of every answer."""

    model_config = ConfigDict(frozen=True)


class FindingAnswer(Answer):
    """One sentence of one lint rule."""

    code: str = Field(description="The rule's stable name.")
    level: Literal["error", "warning"]
    message: str
    field: str
    value: str
    todo: str
    place: str = ""
    source: str = ""


class PieceAnswer(Answer):
    """A piece of plastic made for a segment, or a count of like ones without keys."""

    key: str | None
    set: int
    count: int = 1
    revision: str | None = None
    condition: Literal["ordered", "fitted", "damaged", "scrapped"] = "fitted"
    deviations: str | None = None
    made_at: str | None = None
    material_batch: str | None = None
    end: Literal["broken", "worn", "lost", "misworked", "other", "replaced", "cancelled", "voided"] | None = Field(
        default=None, description="What became of a scrapped piece."
    )
    end_note: str | None = None
    ended_at: str | None = None
    replaced_in: int | None = Field(default=None, description="The reorder whose new piece took its place.")


class KitSegmentAnswer(Answer):
    """A segment in the answer about its kit."""

    number: str
    key: str | None = Field(description="The segment's key; not given before the kit is issued.")
    place: str
    assembly: str
    cut_file: str
    revision: str
    quantity: int
    material: str
    thickness_mm: float
    mass_kg: float
    stock_colour: str
    hand: str | None
    status: Literal["active", "voided", "shared"] = "active"
    pieces: tuple[PieceAnswer, ...] = ()


class JointAnswer(Answer):
    """A joint of a segment, seen from that segment or from the kit."""

    between: tuple[str, str]
    form: str | None
    clearance_mm: float | None
    inferred: bool


class KitAnswer(Answer):
    """A kit, prepared or issued, with every number it has or would get."""

    number: str
    status: Literal["prepared", "refused", "issued", "retired"]
    findings: tuple[FindingAnswer, ...]
    token: str | None = None
    customer: str
    plant: str
    line: str
    line_now: str | None = None
    machine: str
    container: str
    container_code: str
    rotation: str | None = Field(default=None, description="Of the machine, seen from above.")
    check_before_reuse: tuple[str, ...] = Field(default=(), description="What a later survey of the machine changed.")
    serves: tuple[str, ...] = Field(default=(), description="Codes of the further containers that the kit runs.")
    stock_colour: str
    issued_at: str | None = None
    retired_at: str | None = None
    retired_reason: str | None = None
    sets: tuple[int, ...] = Field(default=(1,), description="The sets that were made of it.")
    segments: tuple[KitSegmentAnswer, ...]
    joints: tuple[JointAnswer, ...] = ()


class KitSummaryAnswer(Answer):
    """A kit in the list of kits."""

    number: str
    container: str
    machine: str
    plant: str
    customer: str
    line_now: str | None
    stock_colour: str
    segments: int
    status: str
    issued_at: str


class KitListAnswer(Answer):
    """A page of kits; the header ``Link`` leads to the next."""

    kits: tuple[KitSummaryAnswer, ...]


class RepairAnswer(Answer):
    """One character that was read as another; position counts from 0 in the text as it came."""

    model_config = ConfigDict(frozen=True, populate_by_name=True, serialize_by_alias=True)

    position: int
    read: str
    as_: str = Field(alias="as")


class CandidateAnswer(Answer):
    """A segment or piece that the text may mean, with what was assumed."""

    number: str | None = Field(description="The segment's number, also when the text may be its key.")
    key: str | None = Field(description="The key that the text may be.")
    part: str | None = Field(default=None, description="The groups that the text may be, when it is no whole number.")
    repairs: tuple[RepairAnswer, ...]
    assumed: tuple[str, ...]


class GroupAnswer(Answer):
    """One group of a well-formed number, read out."""

    group: str
    says: str


class ReadAnswer(Answer):
    """What a mark says."""

    outcome: Literal["exact", "repaired", "candidates", "unknown"]
    number: str | None = Field(description="The segment's number, also when the mark was a key.")
    key: str | None = Field(description="The key, when the mark was one.")
    repairs: tuple[RepairAnswer, ...]
    candidates: tuple[CandidateAnswer, ...]
    groups: tuple[GroupAnswer, ...] = ()
    note: str = ""


class ReadManyAnswer(Answer):
    """What many marks say, in the order in which they were sent."""

    readings: tuple[ReadAnswer, ...]


class RevisionAnswer(Answer):
    """A released revision of a cut file."""

    cut_file: str
    revision: str
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


class CutFileAnswer(Answer):
    """A cut file with its revisions in order of release, and the segments cut from it."""

    name: str
    revisions: tuple[RevisionAnswer, ...]
    segments: tuple[str, ...]


class CutFileSummaryAnswer(Answer):
    """A cut file in the list of cut files."""

    name: str
    revision: str | None = Field(description="The newest revision that is not withdrawn.")
    revisions: int
    segments: int
    released_at: str


class CutFileListAnswer(Answer):
    """A page of cut files; the header ``Link`` leads to the next."""

    cut_files: tuple[CutFileSummaryAnswer, ...]


class NeighbourAnswer(Answer):
    """The other side of a joint."""

    number: str
    place: str
    form: str | None
    clearance_mm: float | None
    inferred: bool
    as_built: str | None
    locks: bool | None = Field(description="Whether the two as-built pieces carry the same joint; null if unknown.")


class MachineAnswer(Answer):
    """A machine: its birth designation and the line it stands on now."""

    designation: str
    name: str
    rotation: str | None
    born_on: str
    now_on: str | None


class ContainerAnswer(Answer):
    """What runs."""

    code: str
    name: str
    nominal: str
    unit: str
    shape: str | None
    height_mm: float | None


class MarkAnswer(Answer):
    """A mark that was begun: intended, then made or failed."""

    kind: Literal["nameplate", "engraving"]
    form: str
    text: str
    state: Literal["intended", "made", "failed"]
    made_at: str
    verified_by: str | None


class SegmentAnswer(Answer):
    """Everything on record about one segment."""

    number: str
    key: str
    place: str
    kit: str
    customer: str
    plant: str
    machine: MachineAnswer
    container: ContainerAnswer
    assembly: str
    assembly_code: str
    deck: str
    segment_of: str
    hand: str | None
    quantity: int
    material: str
    stock_colour: str
    thickness_mm: float
    measured_thickness_mm: float | None
    mass_kg: float
    marked_face: str | None
    status: Literal["active", "voided"]
    void_reason: str | None
    kit_status: Literal["issued", "retired"] = "issued"
    retired_at: str | None = None
    retired_reason: str | None = None
    cut_file: str
    revision: str
    current_revision: str | None
    revisions: tuple[RevisionAnswer, ...]
    pieces: tuple[PieceAnswer, ...]
    neighbours: tuple[NeighbourAnswer, ...]
    marks: tuple[MarkAnswer, ...] = Field(default=(), description="Every mark that was ever begun, oldest first.")
    serves: tuple[str, ...] = Field(description="The other kits that this segment serves.")
    cautions: tuple[str, ...]


class CutAnswer(Answer):
    """What to cut."""

    cut_file: str
    revision: str
    sha256: str


class AlsoCutAnswer(CutAnswer):
    """A neighbour to cut too."""

    number: str
    place: str
    keys: tuple[str, ...] = Field(default=(), description="The keys of its new pieces.")


class ReorderAnswer(Answer):
    """A broken segment ordered again: the decision with its reasons."""

    id: int
    number: str
    key: str | None = Field(description="The new piece's key; null when there is no record to cut from.")
    keys: tuple[str, ...] = ()
    outcome: Literal["exact", "exact_with_deviations", "current_fits", "current_needs_neighbours", "no_record"]
    cut: CutAnswer | None
    also_cut: tuple[AlsoCutAnswer, ...]
    reasons: tuple[str, ...]
    quantity: int
    reason: str
    prefer: Literal["as_built", "newest"]
    survivors: tuple[str, ...]
    state: Literal["open", "fitted", "cancelled"]
    ordered_at: str
    open_orders: tuple[int, ...] = Field(default=(), description="Other open reorders of the same segment.")
    set: int | None = Field(default=None, description="The set that the new pieces belong to.")
    override: str | None = Field(default=None, description="Why it was ordered although the kit is retired.")


class ReorderListAnswer(Answer):
    """A page of reorders; the header ``Link`` leads to the next."""

    reorders: tuple[ReorderAnswer, ...]


class ShopAnswer(Answer):
    """The shop, as it stands on every plate."""

    name: str
    address: str
    telephone: str


class CodeAnswer(Answer):
    """A code of one of the shop's tables."""

    table: Literal["machine_class", "assembly", "deck"]
    code: str
    name: str


class CodeListAnswer(Answer):
    """All codes that the shop can use."""

    codes: tuple[CodeAnswer, ...]
    design_letters: tuple[str, ...]


class TemplateAnswer(Answer):
    """A label template that the shop has."""

    name: str
    title: str
    width_mm: float
    height_mm: float
    reading_distance_mm: float


class TemplateListAnswer(Answer):
    """All label templates."""

    templates: tuple[TemplateAnswer, ...]


class EventAnswer(Answer):
    """Who did what, when."""

    at: str
    actor: str
    verb: str
    subject: str
    before: object | None
    after: object | None


class HistoryAnswer(Answer):
    """What happened to a subject, oldest first."""

    events: tuple[EventAnswer, ...]


class HealthAnswer(Answer):
    """Whether the service is there."""

    status: Literal["ok", "not ready"]
