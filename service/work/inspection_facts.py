"""What an inspection sheet says: features of the outline, gaps at the joints, look-alikes that were ruled out."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from schemas.answers import ReorderAnswer
from service.errors import BadRequest, PlaceVoided, SetUnknown, UnknownCode
from service.marks.engraving import Engraving
from service.marks.inspection_sheet import (
    TEMPERATURES_C,
    CandidateOutline,
    ClearanceRow,
    FeatureRow,
    InspectionSheet,
)
from service.outlines.drawing import Drawing
from service.outlines.inspection_features import inspected
from service.outlines.stored import from_bytes
from service.rules.lifting import cautions
from service.rules.materials import STEEL_SCALE_ALPHA_PER_K, material, reading_at
from service.store import cutfiles, damage_reports, segments
from service.store.values import SegmentRow
from service.work.what_locks import joints_as_ordered
from service.work.workshop import Workshop

MOST_RULED_OUT = 7
"""So many look-alikes are shown beside the chosen one."""


@dataclass(frozen=True, slots=True)
class InspectionFacts:
    """What is known before the drawing is looked at, which a rendering process does.

    Attributes:
        answer: the reorder.
        segment: what is cut; ``thickness`` in words what the sheet should have.
        joints: the gaps.
        candidates: numbers, words, whether chosen, and the kept drawings.
        shop_name, shop_telephone: of the shop.
    """

    answer: ReorderAnswer
    segment: SegmentRow
    thickness: str
    joints: tuple[ClearanceRow, ...]
    candidates: tuple[tuple[str, str, bool, bytes], ...]
    shop_name: str
    shop_telephone: str


def inspection_facts(
    workshop: Workshop,
    connection: Connection,
    answer: ReorderAnswer,
    *,
    thickness: str,
    shop_name: str,
    shop_telephone: str,
) -> InspectionFacts:
    """Everything from the records that an inspection sheet needs."""
    segment = segments.find_segment(connection, answer.number)
    assert segment is not None
    return InspectionFacts(
        answer=answer,
        segment=segment,
        thickness=thickness,
        joints=_joints(workshop, answer),
        candidates=_candidates(connection, answer, segment),
        shop_name=shop_name,
        shop_telephone=shop_telephone,
    )


def inspection_sheet(facts: InspectionFacts, drawing: Drawing, engraving: Engraving | None) -> InspectionSheet:
    """The sheet, with what the drawing says."""
    answer, segment = facts.answer, facts.segment
    assert answer.cut is not None
    found = inspected(drawing)
    try:
        plastic = material(segment.material)
    except UnknownCode:
        plastic = None
    rows = tuple(
        FeatureRow(
            what=feature.what,
            nominal_mm=feature.nominal_mm,
            readings_mm=tuple(
                reading_at(feature.nominal_mm, warm, plastic) if plastic else feature.nominal_mm
                for warm in TEMPERATURES_C
            ),
        )
        for feature in found.features
    )
    return InspectionSheet(
        title=f"Inspection sheet for reorder {answer.id}",
        number=answer.number,
        keys=answer.keys or (segment.key,),
        cut_file=answer.cut.cut_file,
        revision=answer.cut.revision,
        material=segment.material,
        expansion=(
            f"Readings of a steel rule or caliper as warm as the piece: {segment.material} "
            f"{plastic.alpha_per_k * 1e6:g}, steel {STEEL_SCALE_ALPHA_PER_K * 1e6:g} millionths a kelvin. Plastic of "
            "another maker differs, polyethylene by up to a third: let the piece lie at 20 °C where a tenth of a "
            "millimetre counts."
            if plastic
            else f"How {segment.material} grows with heat is not on record: measure at 20 °C."
        ),
        ordered=datetime.fromisoformat(answer.ordered_at),
        drawing=drawing,
        engraving=engraving,
        holes=found.holes,
        features=rows,
        thickness=facts.thickness,
        joints=facts.joints,
        candidates=tuple(
            CandidateOutline(number=number, words=words, chosen=chosen, drawing=from_bytes(data))
            for number, words, chosen, data in facts.candidates
        ),
        cautions=tuple(cautions(segment.mass_kg)),
        shop_name=facts.shop_name,
        shop_telephone=facts.shop_telephone,
    )


def _joints(workshop: Workshop, answer: ReorderAnswer) -> tuple[ClearanceRow, ...]:
    """The gaps to every neighbour of the revision that is cut, as the outlines have them."""
    if answer.cut is None:
        return ()
    cut_too = {one.number: one.revision for one in answer.also_cut}
    try:
        joints = joints_as_ordered(
            workshop,
            answer.number,
            answer.cut.revision,
            cut_too=cut_too,
            survivors=answer.survivors,
            set_number=answer.set,
        )
    except (PlaceVoided, SetUnknown, BadRequest):
        # The place was given up, or its neighbours were cut up differently, since it was ordered.
        return ()
    return tuple(
        ClearanceRow(
            neighbour=f"{joint.place}  {joint.number}"
            + (f", cut too at {cut_too[joint.number]}" if joint.number in cut_too else ""),
            least_mm=joint.clearance.least_mm if joint.clearance else None,
            median_mm=joint.clearance.median_mm if joint.clearance else None,
            greatest_mm=joint.clearance.greatest_mm if joint.clearance else None,
            play_mm=joint.clearance.play_mm if joint.clearance else None,
            sentence=joint.sentence,
        )
        for joint in joints
    )


def _candidates(
    connection: Connection, answer: ReorderAnswer, segment: SegmentRow
) -> tuple[tuple[str, str, bool, bytes], ...]:
    """The chosen segment, then those that its damage report rules out; nothing where none were."""
    if answer.report is None:
        return ()
    choices = damage_reports.choices_of(connection, [answer.report]).get(answer.report, ())
    rejected: Sequence[str] = json.loads(choices[-1].rejected) if choices else ()
    found = [segments.find_segment(connection, number) for number in list(rejected)[:MOST_RULED_OUT]]
    rows = [segment, *(row for row in found if row is not None and row.id != segment.id)]
    if len(rows) == 1:
        return ()
    cut = answer.cut and cutfiles.find_revision(connection, answer.cut.cut_file, answer.cut.revision)
    revisions = {row.id: row.revision_id for row in rows}
    if cut:
        revisions[segment.id] = cut.id
    drawings = cutfiles.drawing_bytes(connection, revisions.values())
    return tuple(
        (
            row.number,
            f"{row.place} of {row.kit_number.rpartition('-')[2]}, {row.stock_colour}, {row.thickness_mm:g} mm",
            row.id == segment.id,
            drawings[revisions[row.id]],
        )
        for row in rows
    )
