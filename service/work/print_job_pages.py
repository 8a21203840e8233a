"""The pages of a print job: their marks as they stand on record now, and what they look like."""

from __future__ import annotations

from collections.abc import Sequence

from service.errors import BadRequest
from service.store import pieces, print_jobs, segments
from service.store.print_jobs import JobMarkRow
from service.work.drawing_room import draw_plate
from service.work.mark_pictures import with_pictures
from service.work.plates import Plate, plate_of
from service.work.print_job_answers import pages_of
from service.work.print_job_claim import job_on_record
from service.work.workshop import Workshop


def plates_of_page(workshop: Workshop, page: Sequence[JobMarkRow]) -> tuple[Plate, ...]:
    """The marks of a page.

    Raises:
        BadRequest: a place was given up, or its piece was scrapped, since the job was started.
    """
    with workshop.database.read() as connection:
        rows = segments.segments_by_ids(connection, [mark.segment_id for mark in page])
        plates = []
        for mark in page:
            row = rows[mark.segment_id]
            made = {piece.id: piece for piece in pieces.pieces_of(connection, row.id)}
            piece = None if mark.piece_id is None else made.get(mark.piece_id)
            if row.voided or (piece is not None and piece.condition == "scrapped"):
                raise BadRequest(
                    "this place was given up, or its piece was scrapped, since the job was started",
                    field="mark",
                    value=mark.number,
                    todo="Cancel this job, and start another for the marks that are left",
                )
            plates.append(plate_of(workshop, connection, row, piece))
    return tuple(plates)


def page_picture(workshop: Workshop, job_id: int, number: int) -> str:
    """The first mark of a page as SVG, read back; errors as for ``plates_of_page`` and of drawing a mark.

    Raises:
        PrintJobUnknown: there is no such job.
        BadRequest: it has no such page.
    """
    with workshop.database.read() as connection:
        row = job_on_record(connection, job_id)
        pages = pages_of(print_jobs.job_marks(connection, job_id))
    if not 1 <= number <= len(pages):
        raise BadRequest("the job has no such page", field="page", value=number, todo=f"Give 1 to {len(pages)}")
    template = workshop.template(row.template)
    plates = plates_of_page(workshop, pages[number - 1][:1])
    (facts,) = with_pictures(workshop, template, plates)
    return workshop.rendering.run(draw_plate, template, facts, form="svg", dpi=row.dpi).decode()
