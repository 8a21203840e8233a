"""What will lock into what survived: the page between choosing a segment and ordering it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from service.errors import KitwrightError
from service.web.desk import segment_card
from service.web.front import Front
from service.web.locking_views import LockingView
from service.web.pages import page
from service.web.views import Form as FormView
from service.work.what_locks import what_locks

MOST = 2**31 - 1
Text = Annotated[str, Query(max_length=512)]


def locking_routes(front: Front) -> APIRouter:
    """``/desk/segments/…/locking``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/desk/segments/{number}/locking")
    def locking(
        request: Request,
        number: str,
        *,
        mark: Text = "",
        survivors: Annotated[list[str] | None, Query(max_length=100)] = None,
        survivors_asked: Text = "",
        report: Annotated[int | None, Query(ge=1, le=MOST)] = None,
    ) -> Response:
        who = front.inside(request)
        kept = tuple(survivors or ()) if survivors_asked else None
        view = segment_card(workshop, number, mark=mark, form=FormView(), kept=kept)
        form, found = FormView(), None
        try:
            # A piece's own key says which revision broke; the number alone leaves that to the record.
            found = what_locks(workshop, view.broken_piece or view.number.text, survivors=kept)
        except KitwrightError as error:
            form = FormView({}, front.problem(error))
        return page(
            "locking.html",
            who=who,
            desk="/desk",
            status=form.problem.status if form.problem else 200,
            view=view,
            locking=LockingView.of(found) if found else None,
            form=form,
            report=report,
            open_orders=(),
        )

    return routes
