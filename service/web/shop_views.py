"""What the pages of the shop desk show."""

from __future__ import annotations

from dataclasses import dataclass

from schemas.answers import KitAnswer, KitSegmentAnswer, KitSummaryAnswer, RevisionAnswer
from schemas.pieces import SetSummaryAnswer
from service.web.views import Colour, Form, Number, Page, Picture, Sentence


@dataclass(frozen=True, slots=True)
class KitRow:
    """One line of the list of kits."""

    facts: KitSummaryAnswer
    colour: Colour


@dataclass(frozen=True, slots=True)
class KitList:
    """A part of the list of kits, the newest first."""

    kits: tuple[KitRow, ...]
    page: Page
    plates_name_the_shop: bool


@dataclass(frozen=True, slots=True)
class PreparedSegment:
    """A number that the kit would get, and for what; a shared one is another kit's and stays."""

    number: Number
    assembly: str
    cut_file: str
    revision: str
    material: str
    thickness_mm: float
    mass_kg: float
    quantity: int
    hand: str
    shared: bool


@dataclass(frozen=True, slots=True)
class Prepared:
    """A kit as it would be issued; ``token`` is empty when an error stands against it."""

    kit: str
    container: str
    segments: tuple[PreparedSegment, ...]
    findings: tuple[Sentence, ...]
    token: str
    manifest: str
    retry_key: str

    @property
    def stopped(self) -> bool:
        """Whether an error stands against issuing."""
        return any(finding.level == "error" for finding in self.findings)


@dataclass(frozen=True, slots=True)
class SegmentRow:
    """One segment in the table of a kit; ``other_colour`` is its stock colour where it differs from the kit's."""

    number: Number
    facts: KitSegmentAnswer
    other_colour: Colour | None


@dataclass(frozen=True, slots=True)
class AssemblyRows:
    """The segments of one assembly under its caption."""

    code: str
    name: str
    segments: tuple[SegmentRow, ...]


@dataclass(frozen=True, slots=True)
class TemplateChoice:
    """A label template that a person may pick."""

    name: str
    title: str
    usual: bool


@dataclass(frozen=True, slots=True)
class KitCard:
    """The page of a kit; ``version`` goes along with a correction, so that two people do not mend past each other."""

    facts: KitAnswer
    colour: Colour
    assemblies: tuple[AssemblyRows, ...]
    plan: Picture
    templates: tuple[TemplateChoice, ...]
    version: int
    form: Form
    sets: tuple[SetSummaryAnswer, ...]
    retry_key: str
    printers: tuple[str, ...] = ()

    @property
    def next_set(self) -> int:
        """The number of the set that would be made next."""
        return max((one.set for one in self.sets), default=0) + 1

    @property
    def shared(self) -> tuple[SegmentRow, ...]:
        """The segments of other kits that serve this one too."""
        return tuple(row for group in self.assemblies for row in group.segments if row.facts.status == "shared")

    @property
    def own(self) -> tuple[SegmentRow, ...]:
        """The segments that this kit numbered and whose numbers are not spent."""
        return tuple(row for group in self.assemblies for row in group.segments if row.facts.status == "active")

    @property
    def segment_count(self) -> int:
        """How many segments the kit has, shared ones among them."""
        return len([row for group in self.assemblies for row in group.segments if row.facts.status != "voided"])

    @property
    def piece_count(self) -> int:
        """How many pieces of plastic one set has."""
        rows = (row for group in self.assemblies for row in group.segments)
        return sum(row.facts.quantity for row in rows if row.facts.status != "voided")


@dataclass(frozen=True, slots=True)
class CutFileRow:
    """One line of the list of cut files; ``revision`` is the newest that may be cut, None when all are withdrawn."""

    name: str
    revision: str | None
    revisions: int
    released_at: str
    segments: int


@dataclass(frozen=True, slots=True)
class CutFileList:
    """A part of the list of cut files and the upload form."""

    files: tuple[CutFileRow, ...]
    page: Page
    form: Form


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece that was cut from a revision."""

    number: Number
    key: str | None
    set_number: int
    count: int
    condition: str


@dataclass(frozen=True, slots=True)
class RevisionCard:
    """One released revision with its outline and what was cut from it."""

    facts: RevisionAnswer
    picture: Picture
    pieces: tuple[CutPiece, ...]


@dataclass(frozen=True, slots=True)
class CutFileCard:
    """The page of a cut file: revisions, the newest first, and the segments that are cut from it."""

    name: str
    current: str | None
    revisions: tuple[RevisionCard, ...]
    next_letter: str
    used_by: tuple[Number, ...]
    form: Form


@dataclass(frozen=True, slots=True)
class ShopDetails:
    """The shop's own name, address and telephone, as every plate shows them."""

    name: str
    address: str
    telephone: str
    street: str
    postal_code: str
    town: str
    country: str
    form: Form
    saved: bool = False
