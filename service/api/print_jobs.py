"""The shop desk: marks printed on the shop's printers, and what became of each."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from schemas.print_jobs import PrintedWord, PrintJobAnswer, PrintJobListAnswer, PrintJobRequest
from service.api.problems import PRINTER_FAULTS, RESPONSES
from service.api.requests import MOST_ID, IdempotencyKey, PageSize, actor_of, retry_of
from service.errors import PrintJobClosed, RequestInProgress
from service.work import print_jobs
from service.work.once import Retry
from service.work.print_job_claim import claim_job
from service.work.print_room import PrintRoom
from service.work.workshop import Workshop

PrintJobId = Annotated[int, Path(description="Id of the print job.", examples=[17], alias="job_id", ge=1, le=MOST_ID)]


def print_job_routes(workshop: Workshop, room: PrintRoom) -> APIRouter:
    """The routes over one workshop; jobs that are begun or resumed here are printed in ``room``."""
    router = APIRouter(prefix="/api/print-jobs", tags=["printers"], responses=RESPONSES)

    @router.post("", status_code=201, response_model=PrintJobAnswer, responses=PRINTER_FAULTS)
    async def start(
        body: PrintJobRequest, request: Request, response: Response, idempotency_key: IdempotencyKey = None
    ) -> PrintJobAnswer:
        """Print marks on a printer of the shop.

        The printer is asked what it can do, every mark is drawn and read back, and only then the first page is sent.
        The answer does not wait for the printer: ``GET /api/print-jobs/{job_id}`` says how far it is.
        """
        retry = retry_of(request, idempotency_key, await request.body())
        actor = actor_of(request)

        def work() -> PrintJobAnswer:
            answer = print_jobs.start_print_job(workshop, body, actor=actor, retry=retry)
            # A repetition of the request finds the job begun, and maybe ended, already.
            if print_jobs.show_print_job(workshop, answer.id).state == "waiting":
                with suppress(RequestInProgress, PrintJobClosed):
                    room.start(claim_job(workshop, answer.id), actor)
            return answer

        answer = await run_in_threadpool(work)
        response.headers["Location"] = f"/api/print-jobs/{answer.id}"
        return answer

    @router.get("", response_model=PrintJobListAnswer)
    def list_jobs(
        response: Response,
        after: Annotated[
            int | None, Query(ge=1, le=MOST_ID, description="Id of the last job of the page before.")
        ] = None,
        subject: Annotated[
            str | None,
            Query(max_length=64, description="Only jobs of this kit or segment.", examples=["OSV4-FC1-A500"]),
        ] = None,
        limit: PageSize = 50,
    ) -> PrintJobListAnswer:
        """Print jobs, the newest first; the header ``Link`` leads to the next page."""
        found = print_jobs.list_print_jobs(workshop, before=after, subject=subject, limit=limit + 1).print_jobs
        if len(found) > limit:
            response.headers["Link"] = f'</api/print-jobs?after={found[limit - 1].id}&limit={limit}>; rel="next"'
        return PrintJobListAnswer(print_jobs=found[:limit])

    @router.get("/{job_id}", response_model=PrintJobAnswer)
    def get_job(job_id: PrintJobId) -> PrintJobAnswer:
        """How far a print job is, page by page, and what somebody has to look for."""
        return print_jobs.show_print_job(workshop, job_id)

    @router.post("/{job_id}/resume", status_code=202, response_model=PrintJobAnswer)
    def resume(job_id: PrintJobId, request: Request) -> PrintJobAnswer:
        """Go on with the first mark that is not printed.

        A page that was sent and whose end nobody saw is asked about at the printer by its name first. Where the
        printer cannot know, the job ``asks``. A job that is being printed by another process is left to it.
        """
        room.start(claim_job(workshop, job_id), actor_of(request))
        return print_jobs.show_print_job(workshop, job_id)

    @router.post("/{job_id}/answer", response_model=PrintJobAnswer)
    def answer_question(
        job_id: PrintJobId, body: PrintedWord, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PrintJobAnswer:
        """Say of the page in doubt whether it lies at the printer; the job can be resumed then."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return print_jobs.answer_print_job(workshop, job_id, body, actor=actor_of(request), retry=retry)

    @router.post("/{job_id}/cancel", response_model=PrintJobAnswer)
    def cancel(job_id: PrintJobId, request: Request, idempotency_key: IdempotencyKey = None) -> PrintJobAnswer:
        """Give a job up: nothing more is sent, and the printer is asked to drop what it has of it."""
        retry: Retry = retry_of(request, idempotency_key, b"")
        return print_jobs.cancel_print_job(workshop, job_id, actor=actor_of(request), retry=retry)

    return router
