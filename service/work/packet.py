"""The packet of a reorder: everything that the shop needs to make the one segment, proven and in one archive.

The cut file comes out of the vault with its hash verified; if one byte is wrong the packet is refused.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection

from schemas.answers import ReorderAnswer
from schemas.label_template import LabelTemplate
from service.errors import BadRequest, LintFailed, NoEngravingRoom, RevisionWithdrawn
from service.marks.content import MarkFacts
from service.marks.cutters import USUAL_CUTTER
from service.marks.engraving import Engraving
from service.marks.work_sheet import AlsoCutRow, JointRow, WorkSheet
from service.outlines.stored import from_bytes
from service.render.inspection_sheet_pdf import inspection_sheet_pdf
from service.render.work_sheet_pdf import work_sheet_pdf
from service.rules.lifting import cautions
from service.store import codes, cutfiles, pieces, segments
from service.store.values import PieceRow, SegmentRow
from service.work.drawing_room import draw_plates, packed
from service.work.engrave import CutFile, with_profile
from service.work.engraving_room import draw_engraving, place_text
from service.work.inspection_facts import InspectionFacts, inspection_facts, inspection_sheet
from service.work.ledger_note import reorder_note
from service.work.mark_facts import deck_word
from service.work.members import members_around
from service.work.placement import EngravedPart, parts_to_engrave
from service.work.plan import colour_rgb
from service.work.plates import Plate, plate_of
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE, on_record
from service.work.reorder import reorder_answer, reorder_on_record
from service.work.resolve import kit_of
from service.work.thickness import thickness_to_ask
from service.work.workshop import SERVICE, Actor, Workshop


@dataclass(frozen=True, slots=True)
class Job:
    """One cut file to cut, the new pieces that come of it, and what each of them is engraved on."""

    plates: tuple[Plate, ...]
    parts: tuple[EngravedPart, ...]
    cut_file: CutFile
    drawing: bytes


def reorder_packet(
    workshop: Workshop, reorder_id: int, *, override: str | None = None, actor: Actor = SERVICE
) -> bytes:
    """The packet as a ZIP archive.

    Raises:
        ReorderUnknown: no such reorder.
        CutFileAltered, CutFileMissing: the kept bytes are not those that were released.
        RevisionWithdrawn: the revision was withdrawn after the reorder was made.
        KitRetired: the kit was taken out of use after the reorder was made, and no reason is given.
        FieldDoesNotFit, ReadBackFailed: a mark cannot be printed.
    """
    with workshop.database.read() as connection:
        row = reorder_on_record(connection, reorder_id)
        answer = reorder_answer(row)
        jobs = _jobs(workshop, connection, answer)
        sheet = _sheet(workshop, connection, answer, jobs)
        note = reorder_note(connection, row)
        facts = _facts(workshop, connection, answer, sheet) if jobs else None
    plates = [plate for job in jobs for plate in job.plates]

    def draw() -> bytes:
        return workshop.rendering.run(
            draw_packet,
            workshop.template(DEFAULT_TEMPLATE),
            sheet,
            facts,
            jobs,
            note,
        )

    if not plates:
        return draw()
    return on_record(
        workshop,
        plates,
        kind="nameplate",
        form="packet",
        actor=actor,
        verb="print",
        override=override or answer.override,
        draw=draw,
    )


def work_sheet(workshop: Workshop, reorder_id: int) -> bytes:
    """The work sheet alone, as a PDF; errors as for ``reorder_packet``."""
    with workshop.database.read() as connection:
        answer = reorder_answer(reorder_on_record(connection, reorder_id))
        jobs = _jobs(workshop, connection, answer)
        sheet = _sheet(workshop, connection, answer, jobs)
    return workshop.rendering.run(draw_work_sheet, sheet, jobs[:1])


def inspection_pdf(workshop: Workshop, reorder_id: int) -> bytes:
    """The inspection sheet alone, as a PDF; errors as for ``reorder_packet``.

    Raises:
        BadRequest: the reorder has nothing to cut yet.
    """
    with workshop.database.read() as connection:
        answer = reorder_answer(reorder_on_record(connection, reorder_id))
        jobs = _jobs(workshop, connection, answer)
        if not jobs:
            raise BadRequest(
                "this reorder has nothing to cut yet, so there is nothing to inspect",
                field="reorder_id",
                value=reorder_id,
                todo="Settle the revision first: name the key, the survivors or a trace",
            )
        facts = _facts(workshop, connection, answer, _sheet(workshop, connection, answer, jobs))
    return workshop.rendering.run(draw_inspection_sheet, facts, jobs[0])


def _facts(workshop: Workshop, connection: Connection, answer: ReorderAnswer, sheet: WorkSheet) -> InspectionFacts:
    return inspection_facts(
        workshop,
        connection,
        answer,
        thickness=sheet.thickness_asked or f"nominal {sheet.thickness_mm:g} mm",
        shop_name=sheet.shop_name,
        shop_telephone=sheet.shop_telephone,
    )


def draw_inspection_sheet(facts: InspectionFacts, job: Job) -> bytes:
    """The sheet that the finished piece is measured by; runs in a rendering process."""
    return inspection_sheet_pdf(inspection_sheet(facts, from_bytes(job.drawing), _engraving(job)))


def draw_work_sheet(sheet: WorkSheet, jobs: Sequence[Job]) -> bytes:
    """The sheet with the outline and the engraving of the ordered segment; runs in a rendering process."""
    return work_sheet_pdf(_engraved(sheet, jobs[0]) if jobs else sheet)


def draw_packet(
    template: LabelTemplate, sheet: WorkSheet, facts: InspectionFacts | None, jobs: Sequence[Job], note: bytes
) -> bytes:
    """The archive; runs in a rendering process."""
    files: list[tuple[str, bytes]] = [("work-sheet.pdf", draw_work_sheet(sheet, jobs[:1]))]
    if facts is not None:
        files.append(("inspection-sheet.pdf", draw_inspection_sheet(facts, jobs[0])))
    for job in jobs:
        files.append((job.cut_file.kept_as, job.cut_file.data))
        for part in job.parts:
            files += _engraved_files(part, job.cut_file)
    every_mark: list[MarkFacts] = [plate.facts for job in jobs for plate in job.plates]
    if every_mark:
        plates = draw_plates(template, every_mark, paper="roll", dpi=DEFAULT_DPI)
        files.append(("nameplates.pdf", plates))
    files.append(("ledger.txt", note))
    sums = [f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in files]
    return packed([*files, ("SHA256SUMS", "".join(sums).encode())])


def _engraved_files(part: EngravedPart, cut_file: CutFile) -> list[tuple[str, bytes]]:
    """The strokes alone, their preview, and the cut file with the strokes in it where its form allows that."""
    stem = f"engraving/{part.number} {part.key}"
    try:
        files = [
            (f"{stem}.dxf", draw_engraving(part, form="dxf")),
            (f"{stem}.svg", draw_engraving(part, form="svg")),
        ]
    except (NoEngravingRoom, LintFailed) as error:
        return [(f"{stem} NOT ENGRAVED.txt", f"{error}\n".encode())]
    whole = with_profile(part, cut_file, f"{stem} with profile.dxf", cutter=USUAL_CUTTER)
    return [*files, *whole.items()]


def _engraved(sheet: WorkSheet, job: Job) -> WorkSheet:
    """The sheet with the outline that is cut and, where one fits, the engraving on it."""
    return replace(sheet, drawing=from_bytes(job.drawing), engraving=_engraving(job))


def _engraving(job: Job) -> Engraving | None:
    """The text that is cut into the first piece; None where none fits."""
    if not job.parts:
        return None
    try:
        return place_text(job.parts[0]).engraving
    except (NoEngravingRoom, LintFailed):
        return None


def _jobs(workshop: Workshop, connection: Connection, answer: ReorderAnswer) -> list[Job]:
    """The ordered segment first, then the neighbours that are cut too."""
    jobs = []
    if answer.cut is not None:
        jobs.append(_job(workshop, connection, answer.cut.cut_file, answer.cut.revision, answer.number, answer.keys))
    jobs += [
        _job(workshop, connection, also.cut_file, also.revision, also.number, also.keys) for also in answer.also_cut
    ]
    return jobs


def _job(
    workshop: Workshop, connection: Connection, cut_file: str, letter: str, number: str, keys: tuple[str, ...]
) -> Job:
    revision = cutfiles.find_revision(connection, cut_file, letter)
    segment = segments.find_segment(connection, number)
    assert revision is not None
    assert segment is not None
    if revision.withdrawn_at is not None:
        raise RevisionWithdrawn(
            f"revision {letter} of {cut_file} was withdrawn on {revision.withdrawn_at}: {revision.withdrawn_reason}",
            field="revision",
            value=letter,
            todo="Cancel this reorder and order the segment again",
        )
    plates = tuple(plate_of(workshop, connection, segment, _piece(connection, key)) for key in keys)
    return Job(
        plates=plates,
        parts=parts_to_engrave(connection, plates, revision=(revision.id, revision.letter)),
        cut_file=CutFile(revision.cut_file, revision.letter, workshop.vault.get(revision.sha256)),
        drawing=cutfiles.drawing_bytes(connection, [revision.id])[revision.id],
    )


def _piece(connection: Connection, key: str) -> PieceRow:
    piece = pieces.piece_by_key(connection, key)
    assert piece is not None
    return piece


def _sheet(workshop: Workshop, connection: Connection, answer: ReorderAnswer, jobs: list[Job]) -> WorkSheet:
    segment = segments.find_segment(connection, answer.number)
    assert segment is not None
    kit = kit_of(connection, segment)
    facts = jobs[0].plates[0].facts if jobs else plate_of(workshop, connection, segment, None).facts
    line = kit.now_line or kit.born_line
    deck = deck_word(codes.code_tables(connection), segment.deck)
    words = [segment.assembly_name, f"{deck} deck" if deck else "", facts.segment_of]
    return WorkSheet(
        title=f"Work sheet for reorder {answer.id}",
        number=answer.number,
        key=answer.key or segment.key,
        further_keys=answer.keys[1:],
        kit=kit.number,
        container=f"{kit.container.code} {facts.container_words}",
        assembly=", ".join(filter(None, words)),
        customer=kit.plant.customer,
        plant=kit.plant.name,
        line=line.name,
        machine=f"{kit.machine.name} ({kit.number.rsplit('-', 1)[0]})",
        reason=answer.reason,
        ordered=datetime.fromisoformat(answer.ordered_at),
        outcome=answer.outcome,
        reasons=answer.reasons,
        cut_file=answer.cut.cut_file if answer.cut else None,
        revision=answer.cut.revision if answer.cut else None,
        sha256=answer.cut.sha256 if answer.cut else None,
        material=segment.material,
        colour=segment.stock_colour,
        colour_rgb=colour_rgb(segment.stock_colour),
        thickness_mm=segment.thickness_mm,
        thickness_asked=thickness_to_ask(segment, _beside(connection, segment, answer)) or "",
        mass_kg=segment.mass_kg,
        quantity=answer.quantity,
        hand=segment.hand or "",
        also_cut=tuple(
            AlsoCutRow(
                number=also.number,
                cut_file=also.cut_file,
                revision=also.revision,
                why="the joint between the two changed",
            )
            for also in answer.also_cut
        ),
        joints=_joint_rows(connection, segment, answer),
        cautions=cautions(segment.mass_kg),
        shop_name=facts.shop_name,
        shop_telephone=facts.shop_telephone,
    )


def _beside(connection: Connection, segment: SegmentRow, answer: ReorderAnswer) -> list[SegmentRow]:
    """The neighbours that stay in the machine."""
    joints = segments.joints_of(connection, segment.id)
    ends = [joint.other(segment.id) for joint in joints]
    staying = [end.id for end in ends if end.number in answer.survivors]
    rows = segments.segments_by_ids(connection, staying)
    return [rows[id_] for id_ in staying if id_ in rows]


def _joint_rows(connection: Connection, segment: SegmentRow, answer: ReorderAnswer) -> tuple[JointRow, ...]:
    around = members_around(connection, segment, set_number=answer.set, reach=1)
    also_cut = {also.number: also.revision for also in answer.also_cut}
    rows = []
    for joint in segments.joints_of(connection, segment.id):
        end = joint.other(segment.id)
        there = around.members.get(end.number)
        if end.number in also_cut:
            fits = f"cut too, at revision {also_cut[end.number]}"
        elif end.number not in answer.survivors:
            fits = "not among the survivors"
        elif there is None or there.as_built is None:
            fits = "its build is not known: compare the edges before cutting"
        else:
            fits = f"stays, built at revision {there.as_built}"
        rows.append(
            JointRow(
                neighbour=f"{end.place}  {end.number}",
                form=joint.form or "as drawn",
                clearance_mm=joint.clearance_mm,
                fits=fits,
            )
        )
    return tuple(rows)
