"""What the page shows of what will lock: a verdict for each revision, both sources beside each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from schemas.locking import CutSetAnswer, JointFitAnswer, LockingAnswer, RevisionFitAnswer
from service.web.views import Picture

_OUTLINE = 'fill="none" stroke="currentColor" stroke-width="2.4" stroke-linejoin="round" stroke-linecap="round"'
_TICK = f'<path d="M7 12.5l3.4 3.4L17.2 8.4" {_OUTLINE}/>'

_SHAPES: Mapping[str, str] = {
    "exact": '<circle cx="12" cy="12" r="11" fill="currentColor"/><path d="M7 12.5l3.4 3.4L17.2 8.4" fill="none" '
    'stroke="#fff" stroke-width="2.8" stroke-linejoin="round" stroke-linecap="round"/>',
    "fits": f'<circle cx="12" cy="12" r="10" {_OUTLINE}/>{_TICK}',
    "fits_but_differs": f'<path d="M12 2.5L22.5 21H1.5z" {_OUTLINE}/><path d="M12 9v6M12 18v.2" {_OUTLINE}/>',
    "collides": '<path d="M7.5 1h9L23 7.5v9L16.5 23h-9L1 16.5v-9z" fill="currentColor"/><path d="M8 8l8 8M16 8l-8 8" '
    'fill="none" stroke="#fff" stroke-width="2.8" stroke-linecap="round"/>',
    "does_not_hold": f'<path d="M9 4H2v16h7M15 4h7v16h-7M10 12h.1M14 12h.1" {_OUTLINE}/>',
    "unknown": f'<rect x="2" y="2" width="20" height="20" rx="2" {_OUTLINE}/>'
    f'<path d="M9 9.2a3 3 0 1 1 4.6 2.5c-1 .7-1.6 1.2-1.6 2.4M12 17.6v.2" {_OUTLINE}/>',
}

_WORDS: Mapping[str, tuple[str, str]] = {
    "exact": ("Exact", "good"),
    "fits": ("Fits", "good"),
    "fits_but_differs": ("Fits, but differs", "warn"),
    "collides": ("Collides", "bad"),
    "does_not_hold": ("Does not hold", "bad"),
    "unknown": ("Not known", "calm"),
}

_SAYS: Mapping[bool | None, str] = {True: "locks", False: "does not lock", None: "cannot say"}

_GOALS: Mapping[str, str] = {"as_built": "As it was built", "current": "The newest"}
_SOURCES: Mapping[str, str] = {"declared": "By the record", "computed": "By the outlines"}


@dataclass(frozen=True, slots=True)
class VerdictSign:
    """A verdict that is told by its word, its shape and its colour."""

    word: str
    tone: str
    shape: Picture

    @classmethod
    def of(cls, verdict: str) -> VerdictSign:
        """The sign of a verdict; one that is not known here keeps its own word."""
        word, tone = _WORDS.get(verdict, (verdict.replace("_", " "), "calm"))
        drawn = _SHAPES.get(verdict, _SHAPES["unknown"])
        return cls(
            word,
            tone,
            Picture(f'<svg class="sign" viewBox="0 0 24 24" aria-hidden="true" focusable="false">{drawn}</svg>'),
        )


@dataclass(frozen=True, slots=True)
class JointLine:
    """The joint to one neighbour, by both sources."""

    facts: JointFitAnswer

    @property
    def declared(self) -> str:
        """What the record says."""
        return _SAYS[self.facts.declared]

    @property
    def computed(self) -> str:
        """What the outlines say."""
        return _SAYS[self.facts.computed]

    @property
    def disagree(self) -> bool:
        """Whether the two contradict each other."""
        sources = (self.facts.declared, self.facts.computed)
        return None not in sources and sources[0] != sources[1]

    @property
    def gap(self) -> str:
        """The gap in words; how deep the two reach into each other where they do."""
        if self.facts.depth_mm > 0:
            return f"{self.facts.depth_mm:.2f} mm into each other, {self.facts.overlap_mm2:.1f} mm²"
        found = self.facts.clearance
        if found is None:
            return ""
        if found.greatest_mm - found.least_mm < 0.005:
            return f"gap {found.least_mm:.2f} mm"
        return f"gap {found.least_mm:.2f} to {found.greatest_mm:.2f} mm"

    @property
    def shows_spot(self) -> bool:
        """Whether there is something to look at."""
        return self.facts.picture is not None and self.facts.state not in ("locks", "unknown")


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """One revision with its verdict."""

    facts: RevisionFitAnswer
    sign: VerdictSign
    as_built: bool

    @property
    def joints(self) -> tuple[JointLine, ...]:
        """The joint to each neighbour."""
        return tuple(JointLine(joint) for joint in self.facts.joints)

    @property
    def anchor(self) -> str:
        """A name for links within the page; the first revision is a mere dash."""
        return "first" if self.facts.revision == "-" else self.facts.revision


@dataclass(frozen=True, slots=True)
class CutSet:
    """What to cut for one goal, by both sources."""

    goal: str
    revision: str
    by: tuple[tuple[str, CutSetAnswer], ...]

    @property
    def agree(self) -> bool:
        """Whether both sources name the same pieces."""
        named = [{(piece.number, piece.revision) for piece in one.pieces} for _, one in self.by]
        return all(pieces == named[0] for pieces in named)


@dataclass(frozen=True, slots=True)
class LockingView:
    """What will lock, as a page shows it."""

    facts: LockingAnswer
    revisions: tuple[RevisionLine, ...]
    sets: tuple[CutSet, ...]

    @classmethod
    def of(cls, facts: LockingAnswer) -> LockingView:
        """From the answer of the verb."""
        goals = dict.fromkeys(one.goal for one in facts.sets)
        return cls(
            facts,
            tuple(
                RevisionLine(row, VerdictSign.of(row.verdict), row.revision == facts.as_built)
                for row in facts.revisions
            ),
            tuple(
                CutSet(
                    _GOALS[goal],
                    next((one.revision or "" for one in facts.sets if one.goal == goal), ""),
                    tuple((_SOURCES[one.by], one) for one in facts.sets if one.goal == goal),
                )
                for goal in goals
            ),
        )

    @property
    def spots(self) -> tuple[tuple[RevisionLine, JointLine], ...]:
        """The places to look at, of all revisions."""
        return tuple((line, joint) for line in self.revisions for joint in line.joints if joint.shows_spot)
