"""Print marks on a real printer: a job is asked for, proven and put on record here, then sent by ``print_job_run``."""

from __future__ import annotations

import secrets
from collections.abc import Sequence

from schemas.label_template import LabelTemplate
from schemas.print_jobs import PrintedWord, PrintJobAnswer, PrintJobListAnswer, PrintJobRequest
from service.errors import BadRequest, KitwrightError, NothingAsked
from service.marks.dots import dots_covering, dots_per_mm
from service.printers.ipp_printer import IppPrinter
from service.printers.plan import PrintPlan, choose
from service.render.sheets import Grid, Paper
from service.store import events, print_jobs
from service.store.print_jobs import JobMarkRow, NewJobMark, NewPrintJob
from service.work.once import NO_RETRY, Retry, answered, once
from service.work.plates import Plate
from service.work.print_job_answers import ASKS, job_answer, pages_of, summary_answer
from service.work.print_job_claim import is_worked_on, job_on_record, refuse_closed
from service.work.print_marks import on_record, plates_of_kit, plates_of_segment, proven_file
from service.work.printers import page_size, printer_of
from service.work.rendering import Tell, say_nothing
from service.work.workshop import SERVICE, Actor, Workshop


def start_print_job(
    workshop: Workshop,
    request: PrintJobRequest,
    *,
    actor: Actor = SERVICE,
    any_address: bool = False,
    retry: Retry = NO_RETRY,
    tell: Tell = say_nothing,
) -> PrintJobAnswer:
    """Ask the printer what it can do, prove every mark, and put the job on record; nothing is sent yet.

    Raises:
        KitUnknown, MarkUnknown, SetUnknown, TemplateUnknown, PrinterUnknown: there is no such thing.
        BadRequest: marks of several kits, more copies than the printer makes, or a cell that no sheet has.
        KitRetired: the kit is out of use, and no reason is given under ``override``.
        FieldDoesNotFit, SymbolDoesNotFit, MissingGlyph, ReadBackFailed: a mark cannot be made.
        PrinterUnreachable, NoPrinter, PrinterRefused, PrinterStopped: the printer cannot be asked, or takes no jobs.
        FormatRefused, MediaRefused, ResolutionRefused: the printer cannot print these marks.
    """
    with workshop.database.write() as connection:
        before = answered(connection, retry, PrintJobAnswer)
    if before is not None:
        return before
    template = workshop.template(request.template)
    dots_per_mm(request.dpi)
    printer = printer_of(workshop, request.printer, any_address=any_address)
    plates = _plates(workshop, request)
    notes = _asked(printer, template, request).notes
    pages = page_numbers(template, len(plates), paper=request.paper, dpi=request.dpi, start_cell=request.start_cell)
    subject = plates[0].segment.number if len(plates) == 1 else plates[0].segment.kit_number

    def prove() -> None:
        with proven_file(
            workshop,
            template,
            plates,
            paper=request.paper,
            dpi=request.dpi,
            start_cell=request.start_cell,
            tell=tell,
        ):
            return

    on_record(
        workshop,
        plates,
        kind="nameplate",
        form=request.template,
        actor=actor,
        verb="print",
        override=request.override,
        draw=prove,
    )
    with workshop.database.write() as connection:
        now = workshop.now()

        def work() -> PrintJobAnswer:
            new = NewPrintJob(
                subject=subject,
                template=request.template,
                paper=request.paper,
                dpi=request.dpi,
                start_cell=request.start_cell,
                copies=request.copies,
                printer=printer.address.uri,
                token=secrets.token_hex(4),
                made_at=now,
                made_by=actor.name,
            )
            marks = [
                NewJobMark(
                    page=page,
                    segment_id=plate.segment.id,
                    piece_id=None if plate.piece is None else plate.piece.id,
                    key=plate.facts.key,
                )
                for page, plate in zip(pages, plates, strict=True)
            ]
            job_id = print_jobs.add_print_job(connection, new, marks)
            told = {"job": job_id, "marks": len(marks), "printer": new.printer, "state": "waiting"}
            events.record(
                connection, at=now, actor=actor.name, verb="print job", subject=subject, before=None, after=told
            )
            return job_answer(workshop, connection, job_on_record(connection, job_id), notes=notes)

        return once(connection, retry, PrintJobAnswer, now, work)


def page_numbers(template: LabelTemplate, marks: int, *, paper: Paper, dpi: int, start_cell: int) -> list[int]:
    """On which page each mark comes; errors as for ``service.render.sheets.impose``."""
    if paper == "roll":
        return list(range(1, marks + 1))
    per_mm = dots_per_mm(dpi)
    cell = dots_covering(template.width_mm, per_mm), dots_covering(template.height_mm, per_mm)
    cells = Grid.of(paper, cell, per_mm).cells
    return [(start_cell - 1 + index) // cells + 1 for index in range(marks)]


def show_print_job(workshop: Workshop, job_id: int) -> PrintJobAnswer:
    """A job as it stands; raises PrintJobUnknown."""
    with workshop.database.read() as connection:
        return job_answer(workshop, connection, job_on_record(connection, job_id))


def list_print_jobs(
    workshop: Workshop, *, before: int | None = None, subject: str | None = None, limit: int = 50
) -> PrintJobListAnswer:
    """Jobs, the newest first; with a subject, those of one kit or segment."""
    with workshop.database.read() as connection:
        found = print_jobs.list_print_jobs(connection, before=before, subject=subject, limit=limit)
    return PrintJobListAnswer(print_jobs=tuple(summary_answer(workshop, count) for count in found))


def answer_print_job(
    workshop: Workshop, job_id: int, word: PrintedWord, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PrintJobAnswer:
    """Say of the page in doubt whether it is printed; the job can be resumed then.

    Raises:
        PrintJobUnknown: there is no such job.
        PrintJobClosed: it has ended.
        NothingAsked: no page of it is in doubt.
    """
    with workshop.database.write() as connection:

        def work() -> PrintJobAnswer:
            row = job_on_record(connection, job_id)
            refuse_closed(row)
            pages = pages_of(print_jobs.job_marks(connection, job_id))
            doubtful = [page for page in pages if page[0].state == "doubtful"]
            if not doubtful or is_worked_on(workshop, row):
                raise NothingAsked(
                    "no mark of this job is in doubt", field="id", value=job_id, todo="Look at the job, and resume it"
                )
            now = workshop.now()
            page, more = doubtful[0], len(doubtful) > 1
            said = f"{'Seen' if word.printed else 'Not found'} at the printer by {actor.name}"
            state: print_jobs.PageState = "printed" if word.printed else "failed"
            print_jobs.set_page(connection, job_id, page[0].page, state, ended_at=now, said=said)
            left = any(one[0].state != "printed" for one in pages if one is not page) or not word.printed
            print_jobs.leave_job(
                connection,
                job_id,
                "asks" if more else "stopped" if left else "done",
                f"{ASKS}." if more else "Answered; resume it." if left else "",
            )
            told = {"job": job_id, "page": page[0].page, "printed": word.printed, "marks": _named(page)}
            events.record(
                connection, at=now, actor=actor.name, verb="print answer", subject=row.subject, before=None, after=told
            )
            return job_answer(workshop, connection, job_on_record(connection, job_id))

        return once(connection, retry, PrintJobAnswer, workshop.now(), work)


def cancel_print_job(
    workshop: Workshop, job_id: int, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> PrintJobAnswer:
    """Give a job up: nothing more is sent, and the printer is asked to drop what it has of it.

    Raises:
        PrintJobUnknown: there is no such job.
        PrintJobClosed: it has ended.
    """
    with workshop.database.write() as connection:
        before = answered(connection, retry, PrintJobAnswer)
        if before is not None:
            return before
        row = job_on_record(connection, job_id)
        refuse_closed(row)
        pages = pages_of(print_jobs.job_marks(connection, job_id))
        under_way = [page[0] for page in pages if page[0].state == "sent"]
        for mark in under_way:
            print_jobs.set_page(
                connection, job_id, mark.page, "doubtful", ended_at=workshop.now(), said="Cancelled while it was sent"
            )
        printed = sum(len(page) for page in pages if page[0].state == "printed")
        print_jobs.leave_job(connection, job_id, "cancelled", f"Cancelled by {actor.name}.")
        told = {"job": job_id, "state": "cancelled", "printed": printed}
        events.record(
            connection,
            at=workshop.now(),
            actor=actor.name,
            verb="print job",
            subject=row.subject,
            before={"job": job_id, "state": row.state},
            after=told,
        )
        answer = once(
            connection,
            retry,
            PrintJobAnswer,
            workshop.now(),
            lambda: job_answer(workshop, connection, job_on_record(connection, job_id)),
        )
    for mark in under_way:
        _drop(row.printer, mark)
    return answer


def _drop(uri: str, mark: JobMarkRow) -> None:
    """Ask the printer to drop a page; that it does not is no reason to go on with the job."""
    if mark.job_name is None:
        return
    try:
        printer = IppPrinter(uri, timeout_s=5.0)
        found = printer.find_job(mark.job_name)
        if found is not None and not found.ended:
            printer.cancel(found.id)
    except KitwrightError:
        return


def _plates(workshop: Workshop, request: PrintJobRequest) -> tuple[Plate, ...]:
    """What is printed, in order, nothing twice."""
    found: dict[tuple[int, int | None], Plate] = {}
    for mark in request.marks:
        is_kit = mark.count("-") == 2 and ":" not in mark
        plates = plates_of_kit(workshop, mark, set_number=request.set) if is_kit else plates_of_segment(workshop, mark)
        for plate in plates:
            found.setdefault((plate.segment.id, None if plate.piece is None else plate.piece.id), plate)
    kits = sorted({plate.segment.kit_number for plate in found.values()})
    if len(kits) > 1:
        raise BadRequest(
            f"these are marks of several kits: {', '.join(kits[:4])}",
            field="marks",
            value=request.marks[0],
            todo="Start a job for each kit",
        )
    return tuple(found.values())


def _asked(printer: IppPrinter, template: LabelTemplate, request: PrintJobRequest) -> PrintPlan:
    """How the marks would go to the printer just now."""
    can = printer.capabilities()
    width_mm, height_mm = page_size(template.width_mm, template.height_mm, request.paper)
    plan = choose(can, width_mm=width_mm, height_mm=height_mm, dpi=request.dpi)
    if request.copies > can.most_copies:
        raise BadRequest(
            f"the printer makes at most {can.most_copies} of a page at once",
            field="copies",
            value=request.copies,
            todo="Ask for fewer, and start another job for the rest",
        )
    return plan


def _named(page: Sequence[JobMarkRow]) -> list[dict[str, str]]:
    return [{"number": mark.number, "key": mark.key} for mark in page]
