"""The service desk's reorders: order, decision, packet, and what became of it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Path, Query, Request, Response

from schemas.faults import checked
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.errors import KitwrightError
from service.web.desk import segment_card
from service.web.desk_views import ReorderCard, ReorderList
from service.web.front import OWNER, Front, download, go
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Number, Page
from service.work.fit import cancel_reorder, fit_reorder
from service.work.once import Retry
from service.work.packet import reorder_packet
from service.work.reorder import list_reorders, reorder, show_reorder
from service.work.resolve import resolve_mark
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
        retry_key: Annotated[str, Form(max_length=200)] = "",
    ) -> Response:
        who = front.inside(request)
        kept = tuple(survivors or ()) if survivors_asked else None
        values = {"mark": mark, "reason": reason, "quantity": quantity, "prefer": prefer, "set": set_number}
        # The set stands beside the number only; a piece's key says it already.
        of_set = set_number or None if mark == number else None
        try:
            asked = checked(
                ReorderRequest, {**values, "set": of_set, "override": override.strip() or None, "survivors": kept}
            )
            retry = Retry.of(retry_key, "POST /desk/reorders", asked.model_dump_json().encode())
            made = reorder(workshop, asked, actor=OWNER, retry=retry)
        except KitwrightError as error:
            problem = front.problem(error)
            view = segment_card(workshop, number, mark="", form=FormView(values, problem), kept=kept)
            return page("segment.html", who=who, desk="/desk", status=problem.status, view=view)
        return go(f"/desk/reorders/{made.id}")

    @routes.get("/desk/reorders/{reorder_id}")
    def decision(request: Request, reorder_id: ReorderId) -> Response:
        who = front.inside(request)
        return page("reorder.html", who=who, desk="/desk", view=_card(workshop, reorder_id))

    @routes.post("/desk/reorders/{reorder_id}/packet.zip")
    def packet(request: Request, reorder_id: ReorderId) -> Response:
        front.inside(request)
        data = reorder_packet(workshop, reorder_id, actor=OWNER)
        return download(data, media_type="application/zip", name=f"reorder-{reorder_id}.zip")

    @routes.post("/desk/reorders/{reorder_id}/fitted")
    def fitted(request: Request, reorder_id: ReorderId, deviations: Annotated[str, Form()] = "") -> Response:
        front.inside(request)
        fit_reorder(
            workshop, reorder_id, checked(FittedRequest, {"deviations": deviations.strip() or None}), actor=OWNER
        )
        return go(f"/desk/reorders/{reorder_id}")

    @routes.post("/desk/reorders/{reorder_id}/cancelled")
    def cancelled(request: Request, reorder_id: ReorderId, reason: Annotated[str, Form()] = "") -> Response:
        front.inside(request)
        cancel_reorder(workshop, reorder_id, checked(CancelRequest, {"reason": reason}), actor=OWNER)
        return go(f"/desk/reorders/{reorder_id}")

    return routes


def _card(workshop: Workshop, reorder_id: int) -> ReorderCard:
    facts = show_reorder(workshop, reorder_id)
    return ReorderCard(Number(facts.number), facts, resolve_mark(workshop, facts.number).cautions)


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
