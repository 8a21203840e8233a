"""The plan that a placard shows: made once for all marks of a kit, and only for a template that shows one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection

from schemas.label_template import LabelTemplate
from service.marks.content import MarkFacts
from service.marks.kit_plan import KitPlan, kit_plan
from service.store import kits
from service.work.plan import plan_parts
from service.work.plates import Plate
from service.work.workshop import Workshop


def with_pictures(workshop: Workshop, template: LabelTemplate, plates: Sequence[Plate]) -> list[MarkFacts]:
    """The facts of some marks with all the pictures that a template shows."""
    if not any(picture.kind == "plan" for picture in template.pictures):
        return [plate.facts for plate in plates]
    plans: dict[int, KitPlan] = {}
    facts = []
    with workshop.database.read() as connection:
        for plate in plates:
            kit_id = plate.segment.kit_id
            if kit_id not in plans:
                plans[kit_id] = _plan(connection, kit_id, plate.segment.kit_number)
            facts.append(replace(plate.facts, plan=plans[kit_id]))
    return facts


def _plan(connection: Connection, kit_id: int, number: str) -> KitPlan:
    rows = [row for row in kits.kit_segments(connection, kit_id) if not row.voided]
    return kit_plan(number, plan_parts(connection, [*rows, *kits.shared_into(connection, kit_id)]))
