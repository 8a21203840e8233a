"""The service desk: damage reports, what callers say and show, and what the desk makes of it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, File, Form, Path, Query, Request, Response, UploadFile

from schemas.damage_report import (
    ChoiceRequest,
    DamageReportAnswer,
    DamageReportListAnswer,
    DamageReportRequest,
    DuplicateRequest,
    EvidenceRequest,
    GiveUpRequest,
    LinkAnswer,
    LinkRequest,
)
from schemas.text import Printable
from service.api.problems import EDITS, RESPONSES
from service.api.requests import (
    MOST_ID,
    IdempotencyKey,
    IfMatch,
    PageSize,
    actor_of,
    answers_file,
    attachment,
    etag,
    if_match,
    retry_of,
)
from service.work import damage_choice, damage_reports, report_link, report_photo
from service.work.seen import tag_of
from service.work.workshop import Workshop

ReportId = Annotated[
    int, Path(description="Id of the damage report.", examples=[31], alias="report_id", ge=1, le=MOST_ID)
]
PhotoId = Annotated[
    int, Path(description="Which photograph of the report, from 1.", examples=[1], alias="photo_id", ge=1, le=MOST_ID)
]
Typed = Annotated[
    Printable,
    Form(
        max_length=512,
        description="What a person sees in the picture; it is the mark where no symbol of it says which part it is.",
        examples=["A5?? SW"],
    ),
]
_PHOTO_EXAMPLE = {
    "requestBody": {
        "content": {"multipart/form-data": {"example": {"file": "(the bytes of a JPEG or PNG)", "typed": "A5?? SW"}}}
    }
}


def damage_report_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/damage-reports", tags=["damage reports"], responses=RESPONSES)

    @router.post("", status_code=201, response_model=DamageReportAnswer)
    def post_report(
        body: DamageReportRequest, request: Request, response: Response, idempotency_key: IdempotencyKey = None
    ) -> DamageReportAnswer:
        """Write down what a caller says first, as it is said; `findings` name what may be on order already."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        answer = damage_reports.add_report(workshop, body, actor=actor_of(request), retry=retry)
        response.headers["Location"] = f"/api/damage-reports/{answer.id}"
        return _tagged(response, answer)

    @router.get("", response_model=DamageReportListAnswer)
    def get_reports(
        response: Response,
        after: Annotated[
            int | None, Query(description="Id of the last report of the page before.", ge=1, le=MOST_ID)
        ] = None,
        limit: PageSize = 50,
    ) -> DamageReportListAnswer:
        """Damage reports, the newest first; the header ``Link`` leads to the next page."""
        rows = damage_reports.list_reports(workshop, after=after, limit=limit + 1)
        if len(rows) > limit:
            response.headers["Link"] = f'</api/damage-reports?after={rows[limit - 1].id}&limit={limit}>; rel="next"'
        return DamageReportListAnswer(reports=rows[:limit])

    @router.get("/{report_id}", response_model=DamageReportAnswer)
    def get_report(report_id: ReportId, response: Response) -> DamageReportAnswer:
        """A report with everything that was said, shown and decided; its ``ETag`` goes with the next choice."""
        return _tagged(response, damage_reports.show_report(workshop, report_id))

    @router.post("/{report_id}/evidence", response_model=DamageReportAnswer)
    def post_evidence(
        report_id: ReportId,
        body: EvidenceRequest,
        request: Request,
        response: Response,
        idempotency_key: IdempotencyKey = None,
    ) -> DamageReportAnswer:
        """Write down further answers; what was said before stays on record."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return _tagged(
            response, damage_reports.add_evidence(workshop, report_id, body, actor=actor_of(request), retry=retry)
        )

    @router.post(
        "/{report_id}/photos", status_code=201, response_model=DamageReportAnswer, openapi_extra=_PHOTO_EXAMPLE
    )
    def post_photo(
        report_id: ReportId,
        request: Request,
        response: Response,
        *,
        file: Annotated[
            UploadFile,
            File(description="A photograph: JPEG, PNG, WebP, BMP, TIFF or GIF. Its content decides; 24 MB at most."),
        ],
        typed: Typed = "",
        idempotency_key: IdempotencyKey = None,
    ) -> DamageReportAnswer:
        """Keep a photograph of the mark, without anything but its pixels, and read every symbol in it."""
        data = file.file.read(report_photo.MOST_BYTES + 1)
        retry = retry_of(request, idempotency_key, data + b"\0" + typed.encode())
        answer = report_photo.add_photo(workshop, report_id, data, typed=typed, actor=actor_of(request), retry=retry)
        response.headers["Location"] = f"/api/damage-reports/{report_id}/photos/{answer.photos[-1].id}"
        return _tagged(response, answer)

    @router.get(
        "/{report_id}/photos/{photo_id}",
        response_class=Response,
        responses=answers_file("The photograph.", "image/jpeg", "image/png"),
    )
    def get_photo(report_id: ReportId, photo_id: PhotoId) -> Response:
        """A photograph as it is kept."""
        data, media_type = report_photo.photo_bytes(workshop, report_id, photo_id)
        ending = media_type.partition("/")[2]
        return attachment(data, media_type, f"report {report_id} photograph {photo_id}.{ending}", inline=True)

    @router.post("/{report_id}/choice", response_model=DamageReportAnswer, responses=EDITS)
    def post_choice(
        report_id: ReportId,
        body: ChoiceRequest,
        request: Request,
        response: Response,
        if_match_header: IfMatch = None,
        idempotency_key: IdempotencyKey = None,
    ) -> DamageReportAnswer:
        """Say which segment it is, and which were ruled out; two people never choose over each other's heads."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        answer = damage_choice.choose(
            workshop, report_id, body, seen=if_match(if_match_header), actor=actor_of(request), retry=retry
        )
        return _tagged(response, answer)

    @router.post("/{report_id}/link", status_code=201, response_model=LinkAnswer)
    def post_link(
        report_id: ReportId, body: LinkRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> LinkAnswer:
        """Make a link for the caller's telephone: pictures to say yes or no to, open for some hours."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return report_link.make_link(workshop, report_id, body, actor=actor_of(request), retry=retry)

    @router.post("/{report_id}/duplicate", response_model=DamageReportAnswer)
    def post_duplicate(
        report_id: ReportId,
        body: DuplicateRequest,
        request: Request,
        response: Response,
        idempotency_key: IdempotencyKey = None,
    ) -> DamageReportAnswer:
        """Say that it is about what is on order already."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return _tagged(
            response, damage_reports.mark_duplicate(workshop, report_id, body, actor=actor_of(request), retry=retry)
        )

    @router.post("/{report_id}/given-up", response_model=DamageReportAnswer)
    def post_given_up(
        report_id: ReportId,
        body: GiveUpRequest,
        request: Request,
        response: Response,
        idempotency_key: IdempotencyKey = None,
    ) -> DamageReportAnswer:
        """Say that nothing comes of it, and why."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return _tagged(
            response, damage_reports.give_up_report(workshop, report_id, body, actor=actor_of(request), retry=retry)
        )

    return router


def _tagged(response: Response, answer: DamageReportAnswer) -> DamageReportAnswer:
    response.headers.update(etag(tag_of(answer)))
    return answer
