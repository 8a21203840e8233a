"""Parts of a plant that could be bolted on where others belong, and the odd hole that would keep them apart."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from schemas.bolts_on import BoltsOnPairAnswer, BoltsOnPartAnswer, BoltsOnWrongAnswer, OddHoleAnswer
from service.errors import BadRequest
from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import TOLERANCE_MM, Motion, motions
from service.outlines.hole_pattern import HolePattern, hole_pattern, slot_words
from service.outlines.likeness import best_motion, farthest_mm, thinned
from service.outlines.odd_hole import OddHole, added_holes, moved_hole
from service.render.overlay_svg import overlay_svg
from service.rules.bolts_on import Part, alike, common_place, deck_steps, reasons
from service.work.bolts_on_survey import Survey, drawings_of, survey_plant
from service.work.read import find_mark
from service.work.rename import plant_on_record
from service.work.workshop import Workshop

NO_ROOM = "no spot in the material keeps its distance from edges, pockets, joints and the other holes"


@dataclass(frozen=True, slots=True)
class _Laid:
    """Two drawings, the second laid over the first."""

    drawings: tuple[Drawing, Drawing]
    holes: tuple[HolePattern, HolePattern]
    motion: Motion
    overlap: float


def bolts_on_wrong(workshop: Workshop, plant: str, *, after: int | None, limit: int) -> BoltsOnWrongAnswer:
    """A page of the pairs of a plant, those to look at first before the others.

    Args:
        workshop: where the records are.
        plant: the plant's code.
        after: the rank of the last pair of the page before; None for the first page.
        limit: how many pairs the page has at most.

    Raises:
        PlaceUnknown: no such plant.
    """
    with workshop.database.read() as connection:
        code = plant_on_record(connection, plant).code
        survey = survey_plant(workshop.database, connection, code)
        begin = after or 0
        ranking = survey.ranking
        page = ranking.pairs[begin : begin + limit]
        wanted = {survey.rows[index].revision_id for pair in page for index in pair}
        drawings = drawings_of(connection, wanted)
    kits: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for row in survey.rows:
        kits[row.machine, row.place].add(row.kit)
    return BoltsOnWrongAnswer(
        plant=code,
        tolerance_mm=TOLERANCE_MM,
        parts=survey.seen,
        without_pattern=survey.seen - len(survey.rows),
        patterns=survey.patterns,
        same_shape=ranking.same_shape,
        total=ranking.total,
        cut_off=ranking.total - len(ranking.pairs),
        pairs=tuple(_answer(survey, pair, drawings, rank, kits) for rank, pair in enumerate(page, begin + 1)),
    )


def overlay_picture(workshop: Workshop, mark: str, other_mark: str) -> str:
    """One part laid over another by their mounting holes, as SVG.

    Raises:
        MarkUnknown, AmbiguousMark: one of the marks names no one segment.
        BadRequest: their holes do not agree.
    """
    with workshop.database.read() as connection:
        first = find_mark(connection, mark).segment
        second = find_mark(connection, other_mark, field="other").segment
        drawings = drawings_of(connection, {first.revision_id, second.revision_id})
    laid = _laid(drawings[first.revision_id], drawings[second.revision_id])
    if laid is None:
        raise BadRequest(
            f"too few of its mounting holes lie within {TOLERANCE_MM} mm of those of {first.number}",
            field="other",
            value=second.number,
            todo="Take a pair of GET /api/plants/{plant}/bolts-on-wrong",
        )
    same = first.place == second.place and machine_of(first.kit_number) == machine_of(second.kit_number)
    return overlay_svg(
        *laid.drawings,
        names=(first.number, second.number),
        holes=laid.holes,
        motion=laid.motion,
        odd=_odd_holes(laid, may_move=not same),
    )


def machine_of(kit_number: str) -> str:
    """The birth designation of the machine that a kit is for."""
    return kit_number.rpartition("-")[0]


def _laid(first: Drawing, second: Drawing) -> _Laid | None:
    holes = hole_pattern(first), hole_pattern(second)
    ways = motions(holes[1], holes[0])
    if not ways:
        return None
    motion, overlap = best_motion(thinned(second), thinned(first), ways)
    return _Laid((first, second), holes, motion, overlap)


def _answer(
    survey: Survey,
    pair: tuple[int, int],
    drawings: dict[int, Drawing],
    rank: int,
    kits: dict[tuple[str, str], set[str]],
) -> BoltsOnPairAnswer:
    one, other = survey.parts[pair[0]], survey.parts[pair[1]]
    laid = _laid(*(drawings[survey.rows[index].revision_id] for index in pair))
    assert laid is not None
    motion = laid.motion
    farthest = farthest_mm(thinned(laid.drawings[1]), thinned(laid.drawings[0]), motion)
    whole = len(motion.pairs) == len(laid.holes[0].holes) == len(laid.holes[1].holes)
    pairs = ((one, other), (other, one))
    odd = [_odd(*pairs[index], hole, kits) for index, hole in _odd_holes(laid, may_move=not common_place(one, other))]
    kept_off = 2 if any(hole.stops == "both" for hole in odd) else len(odd)
    return BoltsOnPairAnswer(
        rank=rank,
        first=_part(one, laid.holes[0]),
        second=_part(other, laid.holes[1]),
        holes_agree=len(motion.pairs),
        every_hole=whole,
        gap_mm=round(motion.gap_mm, 3),
        turned_deg=round(motion.turn_deg, 1) % 360,
        turned_over=motion.over,
        mirror_twin=one.twin == other.twin and one.shape != other.shape,
        alike=round(alike(one, other), 4),
        overlap=round(laid.overlap, 4),
        why=reasons(one, other, farthest_mm=farthest, turned_over=motion.over),
        odd_holes=tuple(odd),
        no_odd_hole=None if kept_off == 2 else NO_ROOM,
        picture=f"/api/segments/{one.number}/over/{other.number}.svg",
    )


def _odd_holes(laid: _Laid, *, may_move: bool) -> tuple[tuple[int, OddHole], ...]:
    """The odd holes of two parts, 0 and 1: one that is moved, else one that is added to each where there is room."""
    if may_move:
        for index in (0, 1):
            hole = moved_hole(laid.drawings[index], laid.holes[index], laid.holes[1 - index])
            if hole is not None:
                return ((index, hole),)
    return tuple((index, hole) for index, hole in enumerate(added_holes(laid.drawings, laid.holes)) if hole is not None)


def _odd(here: Part, there: Part, hole: OddHole, kits: dict[tuple[str, str], set[str]]) -> OddHoleAnswer:
    at = round(hole.at.real, 1), round(hole.at.imag, 1)
    old = hole.instead_of
    return OddHoleAnswer(
        number=here.number,
        cut_file=here.cut_file,
        what=hole.what,
        x_mm=at[0],
        y_mm=at[1],
        from_x_mm=None if old is None else round(old.at.real, 1),
        from_y_mm=None if old is None else round(old.at.imag, 1),
        width_mm=round(hole.width_mm, 1),
        length_mm=round(hole.length_mm, 1),
        edge_mm=round(hole.edge_mm, 1),
        stops="both" if hole.stops_both else "one",
        steps=deck_steps(
            here,
            there,
            move=hole.what == "move",
            hole=slot_words(hole.width_mm, hole.length_mm),
            at=at,
            kits=len(kits[here.machine, here.place] - {here.kit}),
        ),
    )


def _part(part: Part, holes: HolePattern) -> BoltsOnPartAnswer:
    return BoltsOnPartAnswer.model_validate(
        {
            "number": part.number,
            "place": part.place,
            "kit": part.kit,
            "machine": part.machine,
            "container": part.container,
            "hand": part.hand,
            "stock_colour": part.stock_colour,
            "thickness_mm": part.thickness_mm,
            "cut_file": part.cut_file,
            "revision": part.revision,
            "holes": len(holes.holes),
        }
    )
