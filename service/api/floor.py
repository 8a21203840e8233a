"""The floor and the desk: reading a mark, and everything about one segment."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from schemas.answers import HistoryAnswer, ReadAnswer, ReadManyAnswer, SegmentAnswer
from schemas.requests import ReadManyRequest
from service.api.problems import RESPONSES
from service.api.requests import (
    AskedCutter,
    Dpi,
    Mark,
    Override,
    PaperKind,
    StartCell,
    Template,
    actor_of,
    answers_file,
    attachment,
    picture,
)
from service.errors import BadRequest
from service.work import engrave, print_marks
from service.work.history import history
from service.work.plan import segment_picture
from service.work.read import read_exact, read_mark, read_marks
from service.work.resolve import resolve_mark
from service.work.workshop import Workshop

MARK = Query(
    description="What was typed or scanned: number, key, link or message.", examples=["0sv4 fc1 a5oo 5w2 u3 42"]
)
PLATE_MEDIA = {"pdf": "application/pdf", "png": "image/png", "svg": "image/svg+xml"}
ENGRAVING_MEDIA = {"dxf": "image/vnd.dxf", "svg": "image/svg+xml"}


def floor_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["floor and desk"], responses=RESPONSES)

    @router.get("/read", response_model=ReadAnswer)
    async def read(mark: Annotated[str, MARK]) -> Response:
        """What a mark says: ``exact``, ``repaired`` (saying what), ``candidates`` (none picked) or ``unknown``."""
        # A scan of a whole number is the commonest call; from a file it is answered where it stands.
        if workshop.database.is_local:
            number = read_exact(workshop, mark)
        else:
            number = await run_in_threadpool(read_exact, workshop, mark)
        if number is not None:
            return Response(
                f'{{"outcome":"exact","number":"{number}","key":null,"repairs":[],"candidates":[],"groups":[],"note":""}}',
                media_type="application/json",
            )
        if not mark.strip():
            raise BadRequest("nothing was read", field="mark", value=mark, todo="Scan the mark, or type what you see")
        answer = await run_in_threadpool(read_mark, workshop, mark)
        return Response(answer.model_dump_json(by_alias=True), media_type="application/json")

    @router.post("/read", response_model=ReadManyAnswer)
    def read_many(body: ReadManyRequest) -> Response:
        """What many marks say, for one a cart that was scanned; each is answered as if it came alone."""
        answer = read_marks(workshop, body.marks)
        return Response(answer.model_dump_json(by_alias=True), media_type="application/json")

    @router.get("/segments/{number}", response_model=SegmentAnswer)
    def get_segment(number: Mark) -> SegmentAnswer:
        """Everything on record about the segment that a number, key, link or message names."""
        return resolve_mark(workshop, number)

    @router.get("/segments/{number}/history", response_model=HistoryAnswer)
    def get_history(number: Mark) -> HistoryAnswer:
        """What happened to a segment, oldest first."""
        return history(workshop, resolve_mark(workshop, number).number)

    @router.get(
        "/segments/{number}/outline.svg",
        response_class=Response,
        responses=answers_file("The outline.", "image/svg+xml"),
    )
    def get_outline(number: Mark) -> Response:
        """The outline that the segment is cut to, with its overall dimensions."""
        return picture(segment_picture(workshop, number))

    @router.get(
        "/segments/{number}/nameplate.{form}",
        response_class=Response,
        responses=answers_file("The mark.", "application/pdf", "image/png", "image/svg+xml"),
    )
    def nameplate(
        number: Mark,
        form: Annotated[Literal["pdf", "png", "svg"], Path(description="A page to print, or a picture.")],
        request: Request,
        template: Template = print_marks.DEFAULT_TEMPLATE,
        paper: PaperKind = "roll",
        dpi: Dpi = print_marks.DEFAULT_DPI,
        start_cell: StartCell = 1,
        override: Override = None,
    ) -> Response:
        """The mark of one segment, or of the piece whose key is given, read back before it is handed out."""
        data = print_marks.print_segment(
            workshop,
            number,
            form=form,
            template=template,
            paper=paper,
            dpi=dpi,
            start_cell=start_cell,
            override=override,
            actor=actor_of(request),
        )
        return attachment(data, PLATE_MEDIA[form], f"{number} {template}.{form}", inline=True)

    @router.get(
        "/segments/{number}/engraving.{form}",
        response_class=Response,
        responses=answers_file("The engraving.", "image/vnd.dxf", "image/svg+xml"),
    )
    def engraving(
        number: Mark,
        form: Annotated[Literal["dxf", "svg"], Path(description="Strokes to cut, or a preview over the outline.")],
        request: Request,
        cutter: AskedCutter,
        override: Override = None,
    ) -> Response:
        """The engraving of one segment: strokes in the units of its cut file, or a preview over the outline."""
        data = engrave.engrave_segment(
            workshop, number, form=form, cutter=cutter, override=override, actor=actor_of(request)
        )
        return attachment(data, ENGRAVING_MEDIA[form], f"{number} engraving.{form}", inline=form == "svg")

    return router
