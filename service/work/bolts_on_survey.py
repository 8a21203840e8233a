"""Every pair of a plant's parts that bolt on in each other's place, put into an order; kept until the records change.

Drawings are looked at once: a released revision never changes. The order is made anew when the journal has grown.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field
from threading import Lock
from weakref import WeakKeyDictionary

from sqlalchemy import Connection

from service.outlines.drawing import Drawing
from service.outlines.hole_pattern import HolePattern, hole_pattern
from service.outlines.likeness import Figures, figures_about, same_shape
from service.outlines.pattern_index import agreeing, grouped
from service.outlines.stored import from_bytes
from service.rules.bolts_on import Part, danger, interchangeable
from service.store import codes, cutfiles, events
from service.store.chunks import chunks
from service.store.database import Database
from service.store.plant_parts import PlantPart, parts_of_plant
from service.work.mark_facts import deck_word

MOST_LISTED = 2000
"""So many pairs are listed; all others are counted."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What is kept of the drawing of a revision."""

    holes: HolePattern
    figures: Figures


@dataclass(frozen=True, slots=True)
class Pair:
    """Two parts, by their place among the parts of the survey."""

    first: int
    second: int
    every_hole: bool


@dataclass(frozen=True, slots=True)
class Survey:
    """The pairs of a plant.

    Attributes:
        rows: the parts that have a pattern of holes; ``parts`` the same for the rules.
        seen: how many parts there are in all.
        patterns: how many different patterns.
        same_shape: how many pairs run right either way.
        total: how many do not.
        pairs: the first of these.
    """

    rows: tuple[PlantPart, ...]
    parts: tuple[Part, ...]
    seen: int
    patterns: int
    same_shape: int
    total: int
    pairs: tuple[Pair, ...]


@dataclass(slots=True)
class _Kept:
    """What is kept for one database."""

    lock: Lock = field(default_factory=Lock)
    measured: dict[int, Measured] = field(default_factory=dict)
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
        survey = _surveyed(connection, parts_of_plant(connection, plant_code), kept.measured)
        kept.surveys[plant_code] = (newest, survey)
        return survey


def drawings_of(connection: Connection, revision_ids: Collection[int]) -> dict[int, Drawing]:
    """The drawings of revisions by row id."""
    return {id_: from_bytes(data) for id_, data in cutfiles.drawing_bytes(connection, revision_ids).items()}


def _surveyed(connection: Connection, every: Sequence[PlantPart], measured: dict[int, Measured]) -> Survey:
    _measure(connection, {row.revision_id for row in every} - measured.keys(), measured)
    rows = tuple(row for row in every if len(measured[row.revision_id].holes.holes) >= 2)
    revisions = list(dict.fromkeys(row.revision_id for row in rows))
    kinds, which = grouped([measured[id_].holes for id_ in revisions])
    kind_of = dict(zip(revisions, which, strict=True))
    shapes = _shapes(connection, revisions, kind_of, measured)
    tables = codes.code_tables(connection)
    parts = tuple(
        _part(row, deck_word(tables, row.deck), shapes[row.revision_id], measured[row.revision_id].figures)
        for row in rows
    )
    groups: defaultdict[tuple[str, int], list[int]] = defaultdict(list)
    for index, row in enumerate(rows):
        groups[row.machine_class, kind_of[row.revision_id]].append(index)
    counts = [0, 0]

    def wrong() -> Iterator[tuple[float, int, int, bool]]:
        classes = sorted({machine_class for machine_class, _ in groups})
        for here, there, every_hole in agreeing(kinds):
            for machine_class in classes:
                ones, others = groups.get((machine_class, here), ()), groups.get((machine_class, there), ())
                for place, first in enumerate(ones):
                    one = parts[first]
                    for second in ones[place + 1 :] if here == there else others:
                        if interchangeable(one, parts[second]):
                            counts[0] += 1
                            continue
                        counts[1] += 1
                        a, b = (first, second) if first < second else (second, first)
                        yield danger(one, parts[second], every_hole=every_hole), -a, -b, every_hole

    listed = heapq.nlargest(MOST_LISTED, wrong())
    return Survey(
        rows=rows,
        parts=parts,
        seen=len(every),
        patterns=len(kinds),
        same_shape=counts[0],
        total=counts[1],
        pairs=tuple(Pair(-first, -second, every_hole) for _, first, second, every_hole in listed),
    )


def _measure(connection: Connection, missing: Collection[int], measured: dict[int, Measured]) -> None:
    for some in chunks(missing):
        for id_, drawing in drawings_of(connection, some).items():
            holes = hole_pattern(drawing)
            measured[id_] = Measured(holes, figures_about(drawing, holes.centre))


def _shapes(
    connection: Connection, revisions: Sequence[int], kind_of: dict[int, int], measured: dict[int, Measured]
) -> dict[int, tuple[int, int]]:
    """For each revision the revision whose shape it has once turned, and once turned or turned over."""
    shapes: dict[int, tuple[int, int]] = {}
    heads: defaultdict[tuple[int, int], list[int]] = defaultdict(list)
    drawings: dict[int, Drawing] = {}

    def drawing(id_: int) -> Drawing:
        if id_ not in drawings:
            drawings.update(drawings_of(connection, [id_]))
        return drawings[id_]

    for id_ in revisions:
        figures, holes = measured[id_].figures, measured[id_].holes
        drawer = int(figures.reach_mm)
        twin = None
        for head in [one for step in (-1, 0, 1) for one in heads[kind_of[id_], drawer + step]]:
            if not figures.near(measured[head].figures):
                continue
            turned, over = same_shape(drawing(id_), holes, drawing(head), measured[head].holes)
            if turned:
                shapes[id_] = (head, shapes[head][1])
                break
            if over:
                twin = shapes[head][1]
        else:
            shapes[id_] = (id_, id_ if twin is None else twin)
            heads[kind_of[id_], drawer].append(id_)
        if shapes[id_][0] != id_:
            drawings.pop(id_, None)
    return shapes


def _part(row: PlantPart, deck: str, shape: tuple[int, int], figures: Figures) -> Part:
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
        shape=shape[0],
        twin=shape[1],
        area_mm2=figures.area_mm2,
        reach_mm=figures.reach_mm,
        spin_mm=figures.spin_mm,
    )
