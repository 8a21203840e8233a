"""The service desk's reorders: ordering again, the list, and the packet for the shop."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Path, Query, Request, Response

from schemas.faults import checked
from schemas.requests import ReorderRequest
from service.errors import KitwrightError
from service.web.desk import segment_card
from service.web.desk_views import ReorderCard, ReorderList
from service.web.front import OWNER, Front, download, go
from service.web.locking import locking_page
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Number, Page
from service.work.once import Retry
from service.work.packet import reorder_packet
from service.work.reorder import list_reorders, reorder
from service.work.workshop import Workshop

PAGE_SIZE = 50
MOST = 2**31 - 1
"""The largest id that every database holds."""

ReorderId = Annotated[int, Path(ge=1, le=MOST)]


def reorder_routes(front: Front) -> APIRouter:
    """``/desk/reorders`` and what lies under it."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/desk/reorders")
    def reorders(request: Request, after: Annotated[int | None, Query(ge=0, le=MOST)] = None) -> Response:
        who = front.inside(request)
        return page("reorders.html", who=who, desk="/desk", view=_list(workshop, after))

    @routes.post("/desk/reorders")
    def order(
        request: Request,
        *,
        number: Annotated[str, Form(max_length=512)],
        mark: Annotated[str, Form(max_length=512)],
        reason: Annotated[str, Form()] = "",
        quantity: Annotated[str, Form()] = "1",
        prefer: Annotated[str, Form()] = "as_built",
        survivors: Annotated[list[str] | None, Form()] = None,
        survivors_asked: Annotated[str, Form()] = "",
        set_number: Annotated[str, Form(alias="set", max_length=12)] = "",
        override: Annotated[str, Form(max_length=240)] = "",
        also: Annotated[str, Form(max_length=240)] = "",
        decide: Annotated[str, Form(max_length=20)] = "",
        decide_reason: Annotated[str, Form(max_length=240)] = "",
        report: Annotated[int | None, Form(ge=1, le=MOST)] = None,
        beside_locking: Annotated[str, Form(max_length=5)] = "",
        retry_key: Annotated[str, Form(max_length=200)] = "",
    ) -> Response:
        who = front.inside(request)
        kept = tuple(survivors or ()) if survivors_asked else None
        values = {"mark": mark, "reason": reason, "quantity": quantity, "prefer": prefer, "set": set_number}
        said = {"also": also, "decide": decide, "decide_reason": decide_reason, "override": override}
        # The set stands beside the number only; a piece's key says it already.
        of_set = set_number or None if mark == number else None
        optional = {name: text.strip() or None for name, text in said.items()}
        try:
            asked = checked(ReorderRequest, {**values, **optional, "set": of_set, "survivors": kept, "report": report})
            retry = Retry.of(retry_key, "POST /desk/reorders", asked.model_dump_json().encode())
            made = reorder(workshop, asked, actor=OWNER, retry=retry)
        except KitwrightError as error:
            form = FormView({**values, **said}, front.problem(error))
            if beside_locking:
                return locking_page(front, who, number, form=form, kept=kept, report=report)
            view = segment_card(workshop, number, mark="", form=form, kept=kept)
            status = form.problem.status if form.problem else 200
            return page("segment.html", who=who, desk="/desk", status=status, view=view)
        return go(f"/desk/reorders/{made.id}")

    @routes.post("/desk/reorders/{reorder_id}/packet.zip")
    def packet(request: Request, reorder_id: ReorderId) -> Response:
        front.inside(request)
        data = reorder_packet(workshop, reorder_id, actor=OWNER)
        return download(data, media_type="application/zip", name=f"reorder-{reorder_id}.zip")

    return routes


def _list(workshop: Workshop, after: int | None) -> ReorderList:
    rows = list_reorders(workshop, after=after, limit=PAGE_SIZE + 1)
    shown = rows[:PAGE_SIZE]
    return ReorderList(
        reorders=tuple(ReorderCard(Number(row.number), row) for row in shown),
        page=Page(
            next_url=f"/desk/reorders?after={shown[-1].id}" if len(rows) > PAGE_SIZE else None,
            first_url="/desk/reorders" if after is not None else None,
        ),
    )
