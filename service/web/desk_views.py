"""What the pages of the service desk show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from schemas.answers import NeighbourAnswer, PieceAnswer, ReorderAnswer, RepairAnswer, SegmentAnswer
from service.web.order_views import OrderProgress
from service.web.order_words import state_name
from service.web.router_programs import EngravingTool
from service.web.views import Colour, Form, Number, Page, Picture


@dataclass(frozen=True, slots=True)
class Candidate:
    """A segment that a mark may mean, and what was assumed to get there; ``mark`` is what to look up for it."""

    mark: str
    number: Number
    place: str
    assembly: str
    container: str
    assumed: tuple[str, ...]
    picture: Picture


@dataclass(frozen=True, slots=True)
class CalledSo:
    """A thing that is no segment and bears the mark as a legacy mark; ``url`` is its page, empty where it has none."""

    name: str
    url: str
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """One group of a well-formed text read out: "container", "A500 design A, nominal content 500"."""

    name: str
    says: str


@dataclass(frozen=True, slots=True)
class Reading:
    """What a mark said that did not lead straight to one segment."""

    mark: str
    note: str
    candidates: tuple[Candidate, ...]
    groups: tuple[Group, ...]
    called_so: tuple[CalledSo, ...] = ()


@dataclass(frozen=True, slots=True)
class Neighbour:
    """The segment on the other side of a joint; ``survives`` is the tick in the form."""

    number: Number
    facts: NeighbourAnswer
    survives: bool

    @property
    def joint(self) -> str:
        """The joint in words: its form, its clearance, and whether it was inferred from the outlines."""
        words = [f"{self.facts.form} joint" if self.facts.form else "joint"]
        if self.facts.clearance_mm is not None:
            words.append(f"clearance {self.facts.clearance_mm:g} mm")
        if self.facts.inferred:
            words.append("inferred from the outlines")
        return ", ".join(words)

    @property
    def built(self) -> str:
        """What the fitted piece was built to, in words."""
        return f"built to rev {self.facts.as_built}" if self.facts.as_built else "build not known"


@dataclass(frozen=True, slots=True)
class EventLine:
    """One entry of the journal."""

    at: str
    actor: str
    words: str


@dataclass(frozen=True, slots=True)
class SegmentCard:
    """Everything on record about one segment, and the form that orders it again.

    Attributes:
        mark: what was typed or scanned to get here, empty when it was the number itself.
        broken_piece: the key of the piece that the form has ticked, empty for none.
        tools: what the routers of the shop engrave with.
    """

    number: Number
    facts: SegmentAnswer
    colour: Colour
    mark: str
    repairs: tuple[str, ...]
    picture: Picture
    plan: Picture
    neighbours: tuple[Neighbour, ...]
    events: tuple[EventLine, ...]
    broken_piece: str
    retry_key: str
    form: Form
    tools: tuple[EngravingTool, ...] = ()

    @property
    def breakable(self) -> tuple[PieceAnswer, ...]:
        """The pieces with keys that the form asks about: those in the machine, and the one that is named."""
        return tuple(
            piece
            for piece in self.facts.pieces
            if piece.key and (piece.condition in ("fitted", "damaged") or piece.key == self.broken_piece)
        )

    @property
    def in_use(self) -> tuple[PieceAnswer, ...]:
        """What is in the machine or lies damaged beside it."""
        return tuple(piece for piece in self.facts.pieces if piece.condition in ("fitted", "damaged"))

    @property
    def tracked_in_use(self) -> tuple[PieceAnswer, ...]:
        """Those of them that have keys."""
        return tuple(piece for piece in self.in_use if piece.key)

    @property
    def counted_sets(self) -> tuple[int, ...]:
        """The sets of which pieces are only counted."""
        return tuple(sorted({piece.set for piece in self.in_use if not piece.key}))

    @property
    def fitted_sets(self) -> tuple[int, ...]:
        """The sets of which a piece is in use."""
        return tuple(sorted({piece.set for piece in self.in_use}))


OUTCOMES: Mapping[str, str] = {
    "exact": "Cut revision {revision}, as it was built",
    "exact_with_deviations": "Cut revision {revision}, then repeat the rework",
    "current_fits": "Cut revision {revision}, which fits its neighbours",
    "current_needs_neighbours": "Cut revision {revision}, and {also} with it",
    "no_record": "Nothing to cut yet: ask first",
}


@dataclass(frozen=True, slots=True)
class ReorderCard:
    """A reorder: which revision to cut, and why."""

    number: Number
    facts: ReorderAnswer
    cautions: tuple[str, ...] = ()
    progress: OrderProgress | None = None
    thickness: str = ""

    @property
    def state(self) -> str:
        """How far it is, in words."""
        return state_name(self.facts.state)

    @property
    def outcome_words(self) -> str:
        """The decision as the desk says it to the shop."""
        count = len(self.facts.also_cut)
        return OUTCOMES[self.facts.outcome].format(
            revision=self.facts.cut.revision if self.facts.cut else "",
            also="1 neighbour" if count == 1 else f"{count} neighbours",
        )


@dataclass(frozen=True, slots=True)
class ReorderList:
    """A part of the list of reorders, the newest first."""

    reorders: tuple[ReorderCard, ...]
    page: Page


def repair_words(repairs: tuple[RepairAnswer, ...]) -> tuple[str, ...]:
    """Repairs as a person says them; characters count from 1 on a page."""
    words = []
    for repair in repairs:
        at = f"character {repair.position + 1}"
        if not repair.as_:
            words.append(f"{at}: “{repair.read}” was dropped")
        elif not repair.read:
            words.append(f"{at}: “{repair.as_}” was put in")
        else:
            words.append(f"{at}: “{repair.read}” was read as “{repair.as_}”")
    return tuple(words)
