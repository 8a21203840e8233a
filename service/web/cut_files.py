"""The shop desk's pages about cut files: list, release, revisions with their outlines, withdrawal."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, File, Form, Query, Request, Response, UploadFile

from schemas.faults import checked
from schemas.requests import WithdrawRequest
from service.errors import BadRequest, KitwrightError
from service.rules.revision_letters import letter_of, ordinal_of
from service.web.front import OWNER, Front, download, go
from service.web.pages import page
from service.web.shop_views import CutFileCard, CutFileList, CutFileRow, CutPiece, RevisionCard
from service.web.views import Form as FormView
from service.web.views import Number, Page, Picture
from service.work import release, withdraw
from service.work.workshop import Workshop

PAGE_SIZE = 100


def cut_file_routes(front: Front) -> APIRouter:
    """``/shop/cut-files`` and what lies under it."""
    routes = front.routes()
    workshop = front.workshop

    def list_page(request: Request, form: FormView, *, after: str = "", status: int = 200) -> Response:
        return page(
            "cut_files.html",
            who=front.who(request),
            desk="/shop",
            status=status,
            view=_list(workshop, after or None, form),
        )

    def file_page(request: Request, name: str, form: FormView, *, status: int = 200) -> Response:
        return page(
            "cut_file.html", who=front.who(request), desk="/shop", status=status, view=_card(workshop, name, form)
        )

    @routes.get("/shop/cut-files")
    def cut_files(request: Request, after: Annotated[str, Query(max_length=255)] = "") -> Response:
        front.inside(request)
        return list_page(request, FormView(), after=after)

    @routes.post("/shop/cut-files")
    def release_revision(
        request: Request,
        *,
        file: Annotated[UploadFile | None, File()] = None,
        name: Annotated[str, Form()] = "",
        revision: Annotated[str, Form()] = "",
        units: Annotated[str, Form()] = "",
        note: Annotated[str, Form()] = "",
        joints_changed: Annotated[str, Form()] = "",
        interfaces_changed: Annotated[str, Form()] = "",
        on_page: Annotated[str, Form(alias="page")] = "",
    ) -> Response:
        front.inside(request)
        typed = {
            "name": name,
            "revision": revision,
            "units": units,
            "note": note,
            "joints_changed": joints_changed,
            "interfaces_changed": interfaces_changed,
        }
        try:
            if file is None or not file.filename:
                raise BadRequest("no drawing was chosen", field="file", value=None, todo="Choose the DXF to release")
            released = release.release_revision(
                workshop,
                name.strip() or file.filename,
                file.file.read(release.MOST_BYTES + 1),
                revision=revision,
                note=note,
                units=units or None,
                joints_changed=joints_changed,
                interfaces_changed=interfaces_changed,
                actor=OWNER,
            )
        except KitwrightError as error:
            problem = front.problem(error)
            form = FormView(typed, problem)
            if on_page:
                return file_page(request, on_page, form, status=problem.status)
            return list_page(request, form, status=problem.status)
        return go(f"/shop/cut-files/{quote(released.cut_file)}")

    @routes.get("/shop/cut-files/{name}")
    def cut_file(request: Request, name: str) -> Response:
        front.inside(request)
        return file_page(request, name, FormView())

    @routes.get("/shop/cut-files/{name}/revisions/{letter}/file")
    def released_file(request: Request, name: str, letter: str) -> Response:
        front.inside(request)
        row, data = release.released_bytes(workshop, name, letter)
        return download(data, media_type="image/vnd.dxf", name=row.cut_file)

    @routes.post("/shop/cut-files/{name}/revisions/{letter}/withdraw")
    def withdraw_revision(request: Request, name: str, letter: str, reason: Annotated[str, Form()] = "") -> Response:
        front.inside(request)
        asked = checked(WithdrawRequest, {"reason": reason})
        withdraw.withdraw_revision(workshop, name, letter, asked.reason, actor=OWNER)
        return go(f"/shop/cut-files/{quote(name)}#rev-{letter}")

    return routes


def _list(workshop: Workshop, after: str | None, form: FormView) -> CutFileList:
    """A part of the list; one more is asked for, to know whether a next part is there."""
    rows = release.cut_files(workshop, after=after, limit=PAGE_SIZE + 1)
    shown = rows[:PAGE_SIZE]
    more = len(rows) > PAGE_SIZE
    return CutFileList(
        files=tuple(CutFileRow(row.name, row.revision, row.revisions, row.released_at, row.segments) for row in shown),
        page=Page(
            next_url=f"/shop/cut-files?after={quote(shown[-1].name, safe='')}" if more else None,
            first_url="/shop/cut-files" if after else None,
        ),
        form=form,
    )


def _card(workshop: Workshop, name: str, form: FormView) -> CutFileCard:
    """A cut file, its newest revision first."""
    answer = release.cut_file(workshop, name)
    usable = [row.revision for row in answer.revisions if row.withdrawn_at is None]
    return CutFileCard(
        name=answer.name,
        current=usable[-1] if usable else None,
        revisions=tuple(
            RevisionCard(
                facts=row,
                picture=Picture.inline(release.outline_picture(workshop, answer.name, row.revision)),
                pieces=tuple(
                    CutPiece(Number(piece.number), piece.key, piece.set, piece.count, piece.condition)
                    for piece in withdraw.pieces_cut_from(workshop, answer.name, row.revision)
                ),
            )
            for row in reversed(answer.revisions)
        ),
        next_letter=letter_of(ordinal_of(answer.revisions[-1].revision) + 1),
        used_by=tuple(Number(number) for number in answer.segments),
        form=form,
    )
