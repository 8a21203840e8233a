"""Marks printed from the terminal: to a PDF, or on a real printer with a job that can be resumed."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, get_args

import typer

from schemas.faults import checked
from schemas.print_jobs import PrintedWord, PrintJobAnswer, PrintJobRequest
from service.commands.marks import SetOf, Why, choice_of, is_kit
from service.commands.terminal import ERR, TERMINAL, hold_place, opened, say, watched, write_file
from service.errors import BadRequest
from service.work.drawing_room import Paper
from service.work.handing_out import size_of
from service.work.print_job_claim import claim_job
from service.work.print_job_run import run_print_job
from service.work.print_jobs import answer_print_job, cancel_print_job, show_print_job, start_print_job
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE, kit_file, segment_file
from service.work.workshop import Workshop

INTERRUPTED = 130
"""What a program ends with that Ctrl-C ended: 128 and the number of the signal."""


def print_(
    mark: Annotated[str | None, typer.Argument(help="Kit number, or number or key of one segment.")] = None,
    *,
    to: Annotated[Path | None, typer.Option("--out", help="The PDF to write.")] = None,
    printer: Annotated[
        str | None, typer.Option(help="Print there instead: a printer of the shop by name, or ipp://host/path.")
    ] = None,
    template: Annotated[str, typer.Option(help="Label template.")] = DEFAULT_TEMPLATE,
    paper: Annotated[str, typer.Option(help="roll, a4 or letter.")] = "roll",
    dpi: Annotated[int, typer.Option(help="203, 300 or 600.")] = DEFAULT_DPI,
    start_cell: Annotated[
        int,
        typer.Option("--start-cell", help="First free cell of a sheet that is partly used, counted along the rows."),
    ] = 1,
    copies: Annotated[int, typer.Option(help="On a printer, how often each page is printed.")] = 1,
    set_number: SetOf = None,
    override: Why = None,
    resume: Annotated[
        int | None, typer.Option(metavar="JOB", help="Go on with a print job at the first mark that is not printed.")
    ] = None,
    printed: Annotated[
        bool | None,
        typer.Option("--printed/--not-printed", help="With --resume: whether the page in doubt lies at the printer."),
    ] = None,
    cancel: Annotated[int | None, typer.Option(metavar="JOB", help="Give a print job up.")] = None,
) -> None:
    """Print the marks of a kit, of one set of it, or of one segment: to a PDF, or on a printer."""
    ways = {"--out": to, "--printer": printer, "--resume": resume, "--cancel": cancel}
    chosen = [name for name, value in ways.items() if value is not None]
    if len(chosen) != 1 or (mark is None) != (chosen[0] in ("--resume", "--cancel")):
        raise BadRequest(
            "say what to print and where, or which print job goes on",
            field="print",
            value=" ".join(chosen) or mark,
            todo="Give MARK with --out or --printer, or --resume JOB, or --cancel JOB, alone",
        )
    if printed is not None and resume is None:
        raise BadRequest(
            "this answers the question of a print job",
            field="--printed",
            value=printed,
            todo="Name the job with --resume",
        )
    if to is not None and mark is not None:
        _to_file(
            mark,
            to,
            template=template,
            paper=_paper(paper),
            dpi=dpi,
            start_cell=start_cell,
            set_number=set_number,
            override=override,
        )
        return
    with opened() as workshop:
        if cancel is not None:
            cancel_print_job(workshop, cancel, actor=TERMINAL)
            say(f"print job {cancel}: cancelled")
            return
        if mark is not None and printer is not None:
            choice = choice_of(mark, set_number, override)
            asked = checked(
                PrintJobRequest,
                {
                    "marks": [mark],
                    "printer": printer,
                    "template": template,
                    "paper": _paper(paper),
                    "dpi": dpi,
                    "start_cell": start_cell,
                    "copies": copies,
                    "set": choice.set,
                    "override": choice.override,
                },
            )
            with watched() as tell:
                started = start_print_job(workshop, asked, actor=TERMINAL, any_address=True, tell=tell)
            for note in started.notes:
                say(note)
            job = started.id
        else:
            assert resume is not None
            job = resume
            if printed is not None:
                answer_print_job(workshop, job, PrintedWord(printed=printed), actor=TERMINAL)
        ended = _run(workshop, job)
    if ended.state != "done":
        raise typer.Exit(1)


def _run(workshop: Workshop, job: int) -> PrintJobAnswer:
    """Print a job as far as it goes, and say how it stands."""
    before = show_print_job(workshop, job)
    if before.state == "done":
        _say(before)
        return before
    claim = claim_job(workshop, job)
    try:
        with watched() as tell:
            ended = run_print_job(workshop, claim, actor=TERMINAL, tell=tell)
    except KeyboardInterrupt:
        _say(show_print_job(workshop, job))
        raise typer.Exit(INTERRUPTED) from None
    _say(ended)
    return ended


def _say(job: PrintJobAnswer) -> None:
    say(f"print job {job.id}: {job.state}, {job.printed} of {job.marks} marks printed on {job.printer}")
    if job.question:
        say(job.question)
        say(f"Look there, then: kitwright print --resume {job.id} --printed, or --not-printed")
    elif job.state in ("stopped", "waiting"):
        if job.said:
            ERR.print(job.said, markup=False, highlight=False)
        say(f"Go on with: kitwright print --resume {job.id}")


def _to_file(
    mark: str,
    to: Path,
    *,
    template: str,
    paper: Paper,
    dpi: int,
    start_cell: int,
    set_number: int | None,
    override: str | None,
) -> None:
    choice = choice_of(mark, set_number, override)
    hold_place(to)
    with opened() as workshop:
        with watched() as tell:
            if is_kit(mark):
                file = kit_file(
                    workshop,
                    mark,
                    template=template,
                    paper=paper,
                    dpi=dpi,
                    start_cell=start_cell,
                    set_number=choice.set,
                    override=choice.override,
                    actor=TERMINAL,
                    tell=tell,
                )
            else:
                file = segment_file(
                    workshop,
                    mark,
                    template=template,
                    paper=paper,
                    dpi=dpi,
                    start_cell=start_cell,
                    override=choice.override,
                    actor=TERMINAL,
                    tell=tell,
                )
        with file:
            size = size_of(file)
            write_file(to, file)
    say(f"{to}: {size:,} bytes, every symbol read back")


def _paper(word: str) -> Paper:
    for known in get_args(Paper):
        if word == known:
            paper: Paper = known
            return paper
    raise BadRequest("no such paper", field="--paper", value=word, todo="Use roll, a4 or letter")
