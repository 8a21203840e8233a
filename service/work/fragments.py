"""Keys and legacy marks that half a mark may be: what a search over numbers alone would miss.

* ``keys_from(connection, mark, *, came_by, limit=10) -> MarksFound``
* ``aliases_from(connection, mark, *, came_by, limit=10) -> MarksFound``

Neither raises: a text that can be no part of a key gives no keys. ``cost`` is the natural logarithm of one over the
likelihood that the mark on record is read as ``mark``, the same measure as that of the search over numbers.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from sqlalchemy import Connection

from service.errors import BadInput
from service.numbering.alias_fragments import few_enough, pieces_of, slips_reckoned_with
from service.numbering.alignment import RUN, UNKNOWN, Alignment, align, assumed, tidied
from service.numbering.error_model import CameBy, ErrorModel, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.key import LENGTH
from service.rules.legacy_marks import folded
from service.store.alias_fragments import aliases_holding
from service.store.alias_subjects import named_by
from service.store.aliases import AliasRow, SubjectKind, aliases_by_ids
from service.store.key_fragments import keys_like

MOST_COMPARED = 600
"""Legacy marks that are compared sign by sign."""

_LONGEST = 120
_GAP = re.compile(r"([?_]|[*…]|\.{2,})")
_ONE = frozenset("?_")


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkCandidate:
    """Something on record whose mark may have been read so.

    Attributes:
        kind: what sort of thing bears the mark; ``segment`` for every key.
        subject_id: its row id in the table of that sort.
        name: its designation; the printed number of a segment.
        number: the printed number where it is a segment, else None.
        key: the key that was meant, None for a legacy mark.
        piece_id: row id of the piece whose key it is, None for the key of a segment and for a legacy mark.
        alias: the legacy mark as it stands on record, None for a key.
        cost: of reading the mark so.
        assumed: what was assumed, one clause each.
    """

    kind: SubjectKind
    subject_id: int
    name: str
    number: str | None
    key: str | None = None
    piece_id: int | None = None
    alias: str | None = None
    cost: float
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MarksFound:
    """What half a mark may be.

    Attributes:
        candidates: the likeliest first.
        consistent: how many marks on record agree with everything that was read; None where too little is known.
        beyond: every mark on record that is not among the candidates costs at least so much.
        note: a sentence for a person where too little is known, else empty.
    """

    candidates: tuple[MarkCandidate, ...] = ()
    consistent: int | None = 0
    beyond: float = math.inf
    note: str = ""


def keys_from(connection: Connection, mark: str, *, came_by: CameBy | None, limit: int = 10) -> MarksFound:
    """The keys on record that half a mark may be, the likeliest first."""
    try:
        read = parse_fragment(mark).read
    except BadInput:
        return MarksFound()
    if sum(sign != RUN for sign in read) > LENGTH + 2:
        return MarksFound()
    model = error_model(came_by)
    found = keys_like(connection, read, model, limit=limit)
    candidates = tuple(
        MarkCandidate(
            kind="segment",
            subject_id=one.segment_id,
            name=one.number,
            number=one.number,
            key=one.key,
            piece_id=one.piece_id,
            cost=one.cost,
            assumed=("it is part of a key", *_assumed(align(read, one.key, model), model)),
        )
        for one in found.found
    )
    note = ""
    if found.too_little:
        note = "Too little of the key is known to look it up: at least four of its eight symbols are needed"
    return MarksFound(candidates, found.agreeing, found.beyond, note)


def aliases_from(connection: Connection, mark: str, *, came_by: CameBy | None, limit: int = 10) -> MarksFound:
    """The legacy marks that half a mark may be, the likeliest first; one for each thing that bears it.

    Every mark whose likeliest reading holds no more slips than ``slips_reckoned_with`` says is looked at, or, where
    that would be more than :data:`MOST_COMPARED` marks, fewer slips.
    """
    read, runs = _folded(mark)
    if not runs or len(read) > _LONGEST:
        return MarksFound()
    # Where too many marks hold a piece, fewer slips are reckoned with: the pieces are longer then.
    for slips in range(slips_reckoned_with(runs), -1, -1):
        rows = aliases_holding(connection, pieces_of(runs, slips), most=MOST_COMPARED)
        if rows is not None:
            break
    else:
        return MarksFound(
            consistent=None, beyond=0.0, note="Too little of the legacy mark is known to tell it from others"
        )
    model = error_model(came_by)
    aligned = ((id_, align(read, text.upper(), model)) for id_, text in rows)
    likely = sorted(
        ((way.cost, id_, way) for id_, way in aligned if way is not None and few_enough(way, slips)),
        key=lambda one: one[:2],
    )
    consistent = sum(_agrees(way) for _, _, way in likely)
    on_record = aliases_by_ids(connection, [id_ for _, id_, _ in likely[: 4 * limit]])
    names = named_by(connection, list(on_record.values()))
    candidates: dict[tuple[SubjectKind, int], MarkCandidate] = {}
    for cost, id_, way in likely[: 4 * limit]:
        row = on_record[id_]
        said = _called(row)
        candidates.setdefault(
            (row.kind, row.subject_id),
            MarkCandidate(
                kind=row.kind,
                subject_id=row.subject_id,
                name=names[row.kind, row.subject_id],
                number=names[row.kind, row.subject_id] if row.kind == "segment" else None,
                alias=row.text,
                cost=cost,
                assumed=(said, *_assumed(way, model)),
            ),
        )
    shown = tuple(candidates.values())[:limit]
    beyond = likely[limit][0] if len(likely) > limit else math.inf
    return MarksFound(shown, consistent, beyond)


def _called(row: AliasRow) -> str:
    return f"it is the legacy mark '{row.text}' of this {row.kind}"


def _assumed(alignment: Alignment | None, model: ErrorModel) -> tuple[str, ...]:
    return assumed(alignment, model) if alignment else ()


def _agrees(alignment: Alignment) -> bool:
    return all(step.slip in ("same", "unknown", "run", "head", "tail") for step in alignment.steps)


def _folded(mark: str) -> tuple[str, tuple[str, ...]]:
    """A fragment of a legacy mark: its signs in capitals with the marks of its gaps, and its runs as they are kept."""
    read, runs = "", []
    for part in _GAP.split(mark):
        if _GAP.fullmatch(part):
            read += UNKNOWN if part in _ONE else RUN
        elif run := folded(part):
            read += run.upper()
            runs.append(run)
    return tidied(read), tuple(runs)
