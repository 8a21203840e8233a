"""The shop desk: cut files and their revisions."""

from __future__ import annotations

import json
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, File, Form, Query, Request, Response, UploadFile

from schemas.answers import CutFileAnswer, CutFileListAnswer, RevisionAnswer, WithdrawalAnswer
from schemas.requests import WithdrawRequest
from schemas.text import Printable
from service.api.problems import RESPONSES
from service.api.requests import (
    CutFileName,
    IdempotencyKey,
    PageSize,
    RevisionLetter,
    actor_of,
    answers_file,
    attachment,
    picture,
    retry_of,
)
from service.work import release, withdraw
from service.work.shown import cut_file_summaries
from service.work.workshop import Workshop

_FORM_EXAMPLE = {
    "requestBody": {
        "content": {
            "multipart/form-data": {
                "example": {
                    "file": "(the bytes of the DXF)",
                    "revision": "B",
                    "note": "dovetail to U4 widened",
                    "joints_changed": "SW2-U4",
                    "interfaces_changed": "pocket",
                }
            }
        }
    }
}


def cut_file_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/cut-files", tags=["cut files"], responses=RESPONSES)

    @router.get("", response_model=CutFileListAnswer)
    def list_cut_files(
        response: Response,
        after: Annotated[str | None, Query(description="Name of the last cut file of the page before.")] = None,
        limit: PageSize = 50,
    ) -> CutFileListAnswer:
        """Cut files; the header ``Link`` leads to the next page."""
        rows = release.cut_files(workshop, after=after, limit=limit + 1)
        if len(rows) > limit:
            response.headers["Link"] = f'</api/cut-files?after={quote(rows[limit - 1].name)}&limit={limit}>; rel="next"'
        return CutFileListAnswer(cut_files=cut_file_summaries(rows[:limit]))

    @router.get("/{name}", response_model=CutFileAnswer)
    def get_cut_file(name: CutFileName) -> CutFileAnswer:
        """A cut file with its revisions in order of release."""
        return release.cut_file(workshop, name)

    @router.post("/{name}/revisions", status_code=201, response_model=RevisionAnswer, openapi_extra=_FORM_EXAMPLE)
    def post_revision(
        name: CutFileName,
        request: Request,
        response: Response,
        *,
        file: Annotated[UploadFile, File(description="The DXF; its content decides, not its declared type or name.")],
        revision: Annotated[
            Printable, Form(description="'-' or a letter after ASME Y14.35.", max_length=8, examples=["B"])
        ],
        note: Annotated[Printable, Form(description="What changed, in words.", max_length=2000)] = "",
        units: Annotated[
            Printable, Form(description="Unit of a file that carries none: mm, inch …", max_length=20)
        ] = "",
        joints_changed: Annotated[
            Printable,
            Form(
                description="Neighbours to whom the joint changed, by number or place, comma-separated.",
                max_length=10_000,
                examples=["SW2-U4"],
            ),
        ] = "",
        interfaces_changed: Annotated[
            Printable,
            Form(
                description=f"What else changed, comma-separated: {', '.join(release.INTERFACES)}.",
                max_length=1000,
                examples=["pocket"],
            ),
        ] = "",
        idempotency_key: IdempotencyKey = None,
    ) -> RevisionAnswer:
        """Release a revision. The bytes are kept as they are; a file that is refused is not kept."""
        data = file.file.read(release.MOST_BYTES + 1)
        said = json.dumps([revision, note, units, joints_changed, interfaces_changed]).encode()
        answer = release.release_revision(
            workshop,
            name,
            data,
            revision=revision,
            note=note,
            units=units,
            joints_changed=joints_changed,
            interfaces_changed=interfaces_changed,
            actor=actor_of(request),
            # The boundary of a multipart body differs each time; what it says does not.
            retry=retry_of(request, idempotency_key, said + data),
        )
        response.headers["Location"] = f"/api/cut-files/{quote(answer.cut_file)}/revisions/{answer.revision}/file"
        return answer

    @router.get("/{name}/revisions/{revision}", response_model=RevisionAnswer)
    def get_revision(name: CutFileName, revision: RevisionLetter) -> RevisionAnswer:
        """What is on record about a revision."""
        return release.show_revision(workshop, name, revision)

    @router.get(
        "/{name}/revisions/{revision}/file",
        response_class=Response,
        responses=answers_file("The released bytes; their SHA-256 is the ETag.", "image/vnd.dxf"),
    )
    def get_file(name: CutFileName, revision: RevisionLetter) -> Response:
        """The released bytes, verified against their hash."""
        row, data = release.released_bytes(workshop, name, revision)
        answer = attachment(data, "image/vnd.dxf", f"{row.cut_file.removesuffix('.dxf')} rev {row.letter}.dxf")
        answer.headers["ETag"] = f'"{row.sha256}"'
        return answer

    @router.get(
        "/{name}/revisions/{revision}/outline.svg",
        response_class=Response,
        responses=answers_file("The outline.", "image/svg+xml"),
    )
    def get_outline(name: CutFileName, revision: RevisionLetter) -> Response:
        """The outline with its overall dimensions."""
        return picture(release.outline_picture(workshop, name, revision))

    @router.post("/{name}/revisions/{revision}/withdrawal", response_model=WithdrawalAnswer)
    def post_withdrawal(
        name: CutFileName,
        revision: RevisionLetter,
        body: WithdrawRequest,
        request: Request,
        idempotency_key: IdempotencyKey = None,
    ) -> WithdrawalAnswer:
        """Withdraw a bad revision and find every piece that was cut from it."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return withdraw.withdraw_revision(workshop, name, revision, body.reason, actor=actor_of(request), retry=retry)

    return router
