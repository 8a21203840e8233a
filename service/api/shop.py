"""The shop desk: kits and their marks."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from schemas.answers import HistoryAnswer, KitAnswer, KitListAnswer
from schemas.manifest_examples import MANIFEST
from schemas.manifest_reading import read_manifest
from schemas.manifest_table import EXAMPLE
from schemas.requests import CorrectionRequest
from service.api.problems import EDITS, RESPONSES
from service.api.requests import (
    AskedCutter,
    Dpi,
    IdempotencyKey,
    IfMatch,
    KitNumber,
    Override,
    PageSize,
    PaperKind,
    SetNumber,
    StartCell,
    Template,
    actor_of,
    answers_file,
    attachment,
    if_match,
    picture,
    retry_of,
    streamed,
)
from service.errors import TooLarge
from service.work import correct, engrave, issue, prepare, print_marks, show_kit
from service.work.history import history
from service.work.plan import kit_plan
from service.work.workshop import Workshop

MOST_MANIFEST_BYTES = 4_000_000
_MANIFEST: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "description": "The kit manifest as JSON, or as a table; the content decides, not the declared type.",
        "content": {
            "application/json": {
                "schema": {"$ref": "#/components/schemas/KitManifest"},
                "example": MANIFEST,
            },
            "text/csv": {"schema": {"type": "string"}, "example": EXAMPLE},
        },
    }
}


def shop_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.post(
        "/kits",
        status_code=201,
        response_model=KitAnswer,
        responses={200: {"model": KitAnswer, "description": "Prepared: numbers, findings and a token; no keys."}},
        openapi_extra=_MANIFEST,
    )
    async def issue_or_prepare(
        request: Request,
        response: Response,
        *,
        prepare_only: Annotated[bool, Query(alias="prepare", description="Dry run; reserves nothing.")] = False,
        token: Annotated[str | None, Query(description="From an earlier prepare; must still match.")] = None,
        idempotency_key: IdempotencyKey = None,
    ) -> KitAnswer:
        """Issue a kit, whole or not at all; with ``prepare=true`` show every number and finding instead."""
        data = await request.body()
        if len(data) > MOST_MANIFEST_BYTES:
            raise TooLarge(
                f"a manifest has at most {MOST_MANIFEST_BYTES:,} bytes",
                field="body",
                value=len(data),
                todo="Send one kit at a time",
            )
        retry = retry_of(request, idempotency_key, data)

        def work() -> KitAnswer:
            manifest = read_manifest(data)
            if prepare_only:
                return prepare.prepare_kit(workshop, manifest)
            return issue.issue_kit(workshop, manifest, token=token, actor=actor_of(request), retry=retry)

        answer = await run_in_threadpool(work)
        if prepare_only:
            response.status_code = 200
        else:
            response.headers["Location"] = f"/api/kits/{answer.number}"
        return answer

    @router.get("/kits", response_model=KitListAnswer)
    def list_kits(
        response: Response,
        after: Annotated[str | None, Query(description="Number of the last kit of the page before.")] = None,
        limit: PageSize = 50,
    ) -> KitListAnswer:
        """Kits, the newest first; the header ``Link`` leads to the next page."""
        found = show_kit.list_kits(workshop, after=after, limit=limit + 1)
        page = found.kits[:limit]
        if len(found.kits) > limit:
            response.headers["Link"] = f'</api/kits?after={quote(page[-1].number)}&limit={limit}>; rel="next"'
        return KitListAnswer(kits=page)

    @router.get("/kits/{kit}", response_model=KitAnswer)
    def get_kit(kit: KitNumber, response: Response) -> KitAnswer:
        """A kit with every segment, places that were given up included. The ETag stands for this state."""
        answer = show_kit.show_kit(workshop, kit)
        response.headers["ETag"] = f'"{show_kit.kit_version(workshop, kit)}"'
        return answer

    @router.get("/kits/{kit}/history", response_model=HistoryAnswer)
    def get_history(kit: KitNumber) -> HistoryAnswer:
        """What happened to a kit, oldest first."""
        return history(workshop, show_kit.show_kit(workshop, kit).number)

    @router.post("/kits/{kit}/corrections", response_model=KitAnswer, responses=EDITS)
    async def correct_kit(
        kit: KitNumber,
        body: CorrectionRequest,
        request: Request,
        response: Response,
        if_match_header: IfMatch = None,
        idempotency_key: IdempotencyKey = None,
    ) -> KitAnswer:
        """Correct facts where no mark exists yet, or give places up; both are kept on record."""
        retry = retry_of(request, idempotency_key, await request.body())
        seen = if_match(if_match_header)

        def work() -> KitAnswer:
            return correct.correct_kit(workshop, kit, body, seen=seen, actor=actor_of(request), retry=retry)

        answer = await run_in_threadpool(work)
        response.headers["ETag"] = f'"{await run_in_threadpool(show_kit.kit_version, workshop, kit)}"'
        return answer

    @router.get("/kits/{kit}/plan.svg", response_class=Response, responses=answers_file("The plan.", "image/svg+xml"))
    def get_plan(
        kit: KitNumber, lit: Annotated[list[str] | None, Query(description="Numbers to light.")] = None
    ) -> Response:
        """The plan of the kit, drawn from the real outlines."""
        return picture(kit_plan(workshop, kit, lit=lit or ()))

    @router.get(
        "/kits/{kit}/nameplates.pdf", response_class=Response, responses=answers_file("The marks.", "application/pdf")
    )
    def nameplates(
        kit: KitNumber,
        request: Request,
        template: Template = print_marks.DEFAULT_TEMPLATE,
        paper: PaperKind = "roll",
        dpi: Dpi = print_marks.DEFAULT_DPI,
        start_cell: StartCell = 1,
        set_number: SetNumber = None,
        override: Override = None,
    ) -> Response:
        """All marks of a kit, or of one set of it, in assembly order, every symbol read back."""
        file = print_marks.kit_file(
            workshop,
            kit,
            template=template,
            paper=paper,
            dpi=dpi,
            start_cell=start_cell,
            set_number=set_number,
            override=override,
            actor=actor_of(request),
        )
        return streamed(file, "application/pdf", f"{kit.upper()} {template}.pdf", inline=True)

    @router.get(
        "/kits/{kit}/engraving.zip",
        response_class=Response,
        responses=answers_file(
            "A list, and for each mark the strokes alone and in its cut file; the cut files untouched.",
            "application/zip",
        ),
    )
    def engravings(
        kit: KitNumber,
        request: Request,
        cutter: AskedCutter,
        set_number: SetNumber = None,
        override: Override = None,
    ) -> Response:
        """The engraving of every mark of a kit, or of one set of it, alone and in its cut file."""
        data = engrave.engrave_kit(
            workshop, kit, set_number=set_number, cutter=cutter, override=override, actor=actor_of(request)
        )
        return attachment(data, "application/zip", f"{kit.upper()} engraving.zip")

    return router
