"""Correct what a kit's manifest said of the kit itself: colour, assemblies, container, machine.

Only while no mark that bears the fact exists: of this kit, of any kit for that container, of any kit for that machine.
"""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from schemas.manifest import Part
from schemas.requests import KitFacts
from service.errors import BadRequest, LintFailed, MarkExists
from service.findings import Finding
from service.store import corrections, kits, marks, segments
from service.store.values import KitRow
from service.work.cutting import known_colour

Change = tuple[str, dict[str, object], dict[str, object]]
"""What was corrected: whose fact it is, what stood, what stands now."""


def correct_registers(connection: Connection, kit: KitRow, facts: KitFacts) -> Iterator[Change]:
    """Correct the facts that were sent.

    Raises:
        MarkExists: a mark already bears one of them.
        LintFailed: the stock colour is in no table.
        BadRequest: the kit has no such assembly.
    """
    if facts.stock_colour is not None:
        yield from _colour(connection, kit, facts.stock_colour)
    for index, named in enumerate(facts.assemblies):
        yield from _assembly(connection, kit, named.assembly, named.name, f"kit.assemblies[{index}].assembly")
    if facts.container is not None:
        _refuse_marked(corrections.marked_kits_of_container(connection, kit.container.id), "kit.container")
        before, after = _changed(facts.container, kit.container)
        corrections.correct_container(connection, kit.container.id, after)
        yield f"container {kit.container.code}", before, after
    if facts.machine is not None:
        _refuse_marked(corrections.marked_kits_of_machine(connection, kit.machine.id), "kit.machine")
        before, after = _changed(facts.machine, kit.machine)
        corrections.correct_machine(connection, kit.machine.id, after)
        yield kit.number.rsplit("-", 1)[0], before, after


def _colour(connection: Connection, kit: KitRow, word: str) -> Iterator[Change]:
    """The kit's colour, and that of every segment which had it from the kit."""
    findings: list[Finding] = []
    colour = known_colour(word, "kit.stock_colour", findings)
    if findings:
        raise LintFailed(findings)
    rows = [row for row in kits.kit_segments(connection, kit.id) if row.stock_colour == kit.stock_colour]
    _refuse_marked_segments(connection, [row.id for row in rows], "kit.stock_colour", word)
    for row in rows:
        segments.correct_segment(connection, row.id, {"stock_colour": colour})
    corrections.correct_kit(connection, kit.id, {"stock_colour": colour})
    yield kit.number, {"stock_colour": kit.stock_colour}, {"stock_colour": colour}


def _assembly(connection: Connection, kit: KitRow, code: str, name: str, field: str) -> Iterator[Change]:
    for assembly in kits.kit_assemblies(connection, kit.id):
        if f"{assembly.code}{assembly.ordinal}" == code:
            ids = [row.id for row in kits.kit_segments(connection, kit.id) if row.assembly_id == assembly.id]
            _refuse_marked_segments(connection, ids, field, code)
            corrections.correct_assembly(connection, assembly.id, {"name": name})
            yield f"{kit.number}-{code}", {"name": assembly.name}, {"name": name}
            return
    raise BadRequest(
        "this kit has no such assembly", field=field, value=code, todo="Name one of its assemblies, for one SW2"
    )


def _changed(facts: Part, row: object) -> tuple[dict[str, object], dict[str, object]]:
    """The facts that were sent and differ: as they stood, and as they stand from now on."""
    sent = facts.model_dump(exclude_unset=True)
    after = {name: value for name, value in sent.items() if getattr(row, name) != value}
    return {name: getattr(row, name) for name in after}, after


def _refuse_marked_segments(connection: Connection, segment_ids: list[int], field: str, value: str) -> None:
    if marks.any_mark(connection, segment_ids):
        raise _marked(field, value, "of segments of this kit")


def _refuse_marked(numbers: tuple[str, ...], field: str) -> None:
    if numbers:
        raise _marked(field, ", ".join(numbers), f"of {', '.join(numbers)}")


def _marked(field: str, value: str, whose: str) -> MarkExists:
    return MarkExists(
        f"marks {whose} were made, or begun, and bear this fact",
        field=field,
        value=value,
        todo="Give the places up under 'void' and let replacements take the next ordinals",
    )
