"""The shop desk: marks printed on the shop's printers, how far a job is, and the question of a page in doubt."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Annotated, Literal
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Request, Response

from schemas.faults import checked
from schemas.print_jobs import (
    JobPageAnswer,
    PrintedWord,
    PrintJobAnswer,
    PrintJobListAnswer,
    PrintJobRequest,
)
from service.errors import KitwrightError, PrintJobClosed, RequestInProgress
from service.web.front import OWNER, Front, go
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Number, Page
from service.work.once import Retry
from service.work.print_job_claim import claim_job
from service.work.print_job_pages import page_picture
from service.work.print_jobs import (
    answer_print_job,
    cancel_print_job,
    list_print_jobs,
    show_print_job,
    start_print_job,
)
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE
from service.work.print_room import PrintRoom

PAGE_SIZE = 50
MOST = 2**31 - 1
WATCH_S = 3
"""How often the page of a job that is being printed is loaded again by itself."""

STATES = {
    "waiting": "Not begun",
    "printing": "Printing",
    "stopped": "Stopped",
    "asks": "Somebody has to look",
    "done": "Printed",
    "cancelled": "Cancelled",
}
PAGE_STATES = {
    "waiting": "waits",
    "sent": "sent, its end not known",
    "printed": "printed",
    "failed": "not printed, comes again",
    "doubtful": "in doubt",
}


@dataclass(frozen=True, slots=True)
class JobPage:
    """One page of a job in words; ``first`` is the number of its first mark in the job."""

    facts: JobPageAnswer
    words: str
    first: int
    numbers: tuple[Number, ...]


@dataclass(frozen=True, slots=True)
class PrintJobView:
    """The page of a job; ``shown`` is the page that is printed now, comes next, or is in doubt."""

    facts: PrintJobAnswer
    words: str
    pages: tuple[JobPage, ...]
    shown: JobPage | None
    form: FormView

    @property
    def kit(self) -> str:
        """The kit whose marks these are."""
        return "-".join(self.facts.pages[0].marks[0].number.split("-")[:3])

    @property
    def can_resume(self) -> bool:
        """Whether somebody may let it go on."""
        return self.facts.state in ("waiting", "stopped", "asks") and not self.facts.question


@dataclass(frozen=True, slots=True)
class PrintJobsView:
    """The list of jobs."""

    facts: PrintJobListAnswer
    words: dict[str, str]
    page: Page
    subject: str


def print_job_routes(front: Front, room: PrintRoom) -> APIRouter:
    """``/shop/print-jobs`` and what of it stands on the page of a kit."""
    routes = front.routes()
    workshop = front.workshop

    @routes.post("/shop/kits/{kit}/print")
    def start(
        request: Request,
        kit: str,
        *,
        printer: Annotated[str, Form(max_length=1023)] = "",
        template: Annotated[str, Form(max_length=60)] = DEFAULT_TEMPLATE,
        paper: Annotated[Literal["roll", "a4", "letter"], Form()] = "roll",
        dpi: Annotated[int, Form()] = DEFAULT_DPI,
        start_cell: Annotated[int, Form(ge=1, le=10_000)] = 1,
        copies: Annotated[int, Form(ge=1, le=99)] = 1,
        set_number: Annotated[str, Form(alias="set", max_length=6)] = "",
        override: Annotated[str, Form(max_length=240)] = "",
        retry_key: Annotated[str, Form(max_length=100)] = "",
    ) -> Response:
        front.inside(request)
        asked = checked(
            PrintJobRequest,
            {
                "marks": [kit],
                "printer": printer,
                "template": template,
                "paper": paper,
                "dpi": dpi,
                "start_cell": start_cell,
                "copies": copies,
                "set": int(set_number) if set_number.isdecimal() else None,
                "override": override.strip() or None,
            },
        )
        retry = Retry.of(retry_key, f"POST /shop/kits/{kit}/print", asked.model_dump_json().encode())
        job = start_print_job(workshop, asked, actor=OWNER, retry=retry)
        # The button was pressed twice, or the job is over already.
        with suppress(RequestInProgress, PrintJobClosed):
            if show_print_job(workshop, job.id).state == "waiting":
                room.start(claim_job(workshop, job.id), OWNER)
        return go(f"/shop/print-jobs/{job.id}")

    @routes.get("/shop/print-jobs")
    def jobs(
        request: Request,
        after: Annotated[int | None, Query(ge=1, le=MOST)] = None,
        kit: Annotated[str, Query(max_length=64)] = "",
    ) -> Response:
        who = front.inside(request)
        found = list_print_jobs(workshop, before=after, subject=kit or None, limit=PAGE_SIZE + 1).print_jobs
        shown = found[:PAGE_SIZE]
        of = f"&kit={quote(kit)}" if kit else ""
        view = PrintJobsView(
            PrintJobListAnswer(print_jobs=shown),
            STATES,
            Page(
                next_url=f"/shop/print-jobs?after={shown[-1].id}{of}" if len(found) > PAGE_SIZE else None,
                first_url=f"/shop/print-jobs{of.replace('&', '?')}" if after else None,
            ),
            kit,
        )
        return page("print_jobs.html", who=who, desk="/shop", view=view)

    @routes.get("/shop/print-jobs/{job_id}")
    def one(request: Request, job_id: int) -> Response:
        front.inside(request)
        return _job_page(front, request, job_id)

    @routes.get("/shop/print-jobs/{job_id}/pages/{number}.svg")
    def picture(request: Request, job_id: int, number: int) -> Response:
        front.inside(request)
        return Response(
            page_picture(workshop, job_id, number),
            media_type="image/svg+xml",
            headers={
                "Cache-Control": "no-store",
                "X-Content-Type-Options": "nosniff",
                "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'",
            },
        )

    @routes.post("/shop/print-jobs/{job_id}/resume")
    def resume(request: Request, job_id: int) -> Response:
        front.inside(request)
        return _done(front, request, job_id, lambda: room.start(claim_job(workshop, job_id), OWNER))

    @routes.post("/shop/print-jobs/{job_id}/answer")
    def answer(request: Request, job_id: int, printed: Annotated[Literal["yes", "no"], Form()]) -> Response:
        front.inside(request)

        def settle() -> None:
            told = answer_print_job(workshop, job_id, PrintedWord(printed=printed == "yes"), actor=OWNER)
            # Whoever stands at the printer wants it to go on.
            if told.state == "stopped":
                room.start(claim_job(workshop, job_id), OWNER)

        return _done(front, request, job_id, settle)

    @routes.post("/shop/print-jobs/{job_id}/cancel")
    def cancel(request: Request, job_id: int) -> Response:
        front.inside(request)
        return _done(front, request, job_id, lambda: cancel_print_job(workshop, job_id, actor=OWNER))

    return routes


def _done(front: Front, request: Request, job_id: int, work: Callable[[], object]) -> Response:
    """The page of the job after something was done with it, or with what stood against it."""
    try:
        work()
    except KitwrightError as error:
        problem = front.problem(error)
        return _job_page(front, request, job_id, form=FormView({}, problem), status=problem.status)
    return go(f"/shop/print-jobs/{job_id}")


def _job_page(
    front: Front, request: Request, job_id: int, *, form: FormView | None = None, status: int = 200
) -> Response:
    facts = show_print_job(front.workshop, job_id)
    pages, first = [], 1
    for one in facts.pages:
        pages.append(JobPage(one, PAGE_STATES[one.state], first, tuple(Number(mark.number) for mark in one.marks)))
        first += len(one.marks)
    # In doubt before under way before next.
    shown = next(
        (one for state in ("doubtful", "sent", "failed", "waiting") for one in pages if one.facts.state == state), None
    )
    return page(
        "print_job.html",
        who=front.who(request),
        desk="/shop",
        status=status,
        view=PrintJobView(
            facts=facts,
            words=STATES[facts.state],
            pages=tuple(pages),
            shown=shown,
            form=form or FormView(),
        ),
        watch_s=WATCH_S if facts.state in ("printing", "waiting") and form is None else None,
    )
