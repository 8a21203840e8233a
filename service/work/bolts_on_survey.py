"""Every pair of a plant's parts that bolt on in each other's place, put into an order; kept until the records change.

Drawings are looked at once: a released revision never changes. The order is made anew when the journal has grown.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy import Connection

from service.outlines.drawing import Drawing
from service.outlines.hole_pattern import HolePattern, hole_pattern
from service.outlines.likeness import Figures, figures_about, same_shape
from service.outlines.pattern_index import Kinds, agreeing
from service.outlines.stored import from_bytes
from service.rules.bolts_on import Part, Ranking, ranked
from service.store import codes, cutfiles, events
from service.store.chunks import chunks
from service.store.database import Database
from service.store.plant_parts import PlantPart, parts_of_plant
from service.work.mark_facts import deck_word

MOST_LISTED = 2000
"""So many pairs are listed; all others are counted."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What is kept of the drawing of a revision.

    Attributes:
        kind: which pattern of holes it has, among all patterns; None with fewer than two holes.
        shape: the revision whose shape it has once turned; ``twin`` once turned or turned over.
    """

    holes: HolePattern
    figures: Figures
    kind: int | None
    shape: int
    twin: int


@dataclass(frozen=True, slots=True)
class Survey:
    """The pairs of a plant.

    Attributes:
        rows: the parts that have a pattern of holes; ``parts`` the same for the rules.
        seen: how many parts there are in all.
        patterns: how many different patterns.
        ranking: the pairs by the places of their parts, and how many there are.
    """

    rows: tuple[PlantPart, ...]
    parts: tuple[Part, ...]
    seen: int
    patterns: int
    ranking: Ranking


class DesignBook:
    """The designs of a shop as they are compared: looked at once, since a released revision never changes."""

    def __init__(self) -> None:
        self._measured: dict[int, Measured] = {}
        self._kinds = Kinds()
        self._heads: defaultdict[tuple[int, int], list[int]] = defaultdict(list)

    def look_up(self, connection: Connection, revision_ids: Collection[int]) -> dict[int, Measured]:
        """What is known of these revisions, those that are new measured first."""
        missing = sorted(set(revision_ids) - self._measured.keys())
        for some in chunks(missing):
            drawings = drawings_of(connection, some)
            for id_ in some:
                self._measured[id_] = self._measure(connection, id_, drawings[id_])
        return {id_: self._measured[id_] for id_ in revision_ids}

    def pattern(self, kind: int) -> HolePattern:
        """One of the patterns."""
        return self._kinds.patterns[kind]

    def _measure(self, connection: Connection, id_: int, drawing: Drawing) -> Measured:
        holes = hole_pattern(drawing)
        figures = figures_about(drawing, holes.centre)
        if len(holes.holes) < 2:
            return Measured(holes, figures, None, id_, id_)
        kind, drawer = self._kinds.add(holes), int(figures.reach_mm)
        twin = id_
        for head in [one for step in (-1, 0, 1) for one in self._heads[kind, drawer + step]]:
            known = self._measured[head]
            if not figures.near(known.figures):
                continue
            turned, over = same_shape(drawing, holes, drawings_of(connection, [head])[head], known.holes)
            if turned:
                return Measured(holes, figures, kind, head, known.twin)
            twin = known.twin if over else twin
        self._heads[kind, drawer].append(id_)
        return Measured(holes, figures, kind, id_, twin)


@dataclass(slots=True)
class _Kept:
    """What is kept for one database."""

    lock: Lock = field(default_factory=Lock)
    book: DesignBook = field(default_factory=DesignBook)
    surveys: dict[str, tuple[int, Survey]] = field(default_factory=dict)


_KEPT: WeakKeyDictionary[Database, _Kept] = WeakKeyDictionary()
_KEPT_LOCK = Lock()


def survey_plant(database: Database, connection: Connection, plant_code: str) -> Survey:
    """The pairs of a plant as the records stand."""
    with _KEPT_LOCK:
        kept = _KEPT.setdefault(database, _Kept())
    with kept.lock:
        newest = events.newest(connection)
        known = kept.surveys.get(plant_code)
        if known is not None and known[0] == newest:
            return known[1]
        survey = surveyed(connection, parts_of_plant(connection, plant_code), kept.book)
        kept.surveys[plant_code] = (newest, survey)
        return survey


def drawings_of(connection: Connection, revision_ids: Collection[int]) -> dict[int, Drawing]:
    """The drawings of revisions by row id."""
    return {id_: from_bytes(data) for id_, data in cutfiles.drawing_bytes(connection, revision_ids).items()}


def surveyed(connection: Connection, every: Sequence[PlantPart], book: DesignBook) -> Survey:
    """The pairs among these parts."""
    designs = book.look_up(connection, {row.revision_id for row in every})
    rows = tuple(row for row in every if designs[row.revision_id].kind is not None)
    tables = codes.code_tables(connection)
    parts = tuple(_part(row, deck_word(tables, row.deck), designs[row.revision_id]) for row in rows)
    groups: defaultdict[int, list[int]] = defaultdict(list)
    for place, row in enumerate(rows):
        kind = designs[row.revision_id].kind
        assert kind is not None
        groups[kind].append(place)
    kinds = sorted(groups)
    return Survey(
        rows=rows,
        parts=parts,
        seen=len(every),
        patterns=len(kinds),
        ranking=ranked(
            parts,
            [groups[kind] for kind in kinds],
            agreeing([book.pattern(kind) for kind in kinds]),
            most=MOST_LISTED,
        ),
    )


def _part(row: PlantPart, deck: str, design: Measured) -> Part:
    return Part(
        number=row.number,
        place=row.place,
        kit=row.kit,
        machine=row.machine,
        machine_class=row.machine_class,
        container=row.container,
        body_mm=row.body_mm,
        height_mm=row.height_mm,
        deck=deck,
        hand=row.hand,
        stock_colour=row.stock_colour,
        thickness_mm=row.thickness_mm,
        cut_file=row.cut_file,
        revision=row.revision,
        shape=design.shape,
        twin=design.twin,
        area_mm2=design.figures.area_mm2,
        reach_mm=design.figures.reach_mm,
        spin_mm=design.figures.spin_mm,
    )
