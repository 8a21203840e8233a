"""What will lock into what survived: the page between choosing a segment and ordering it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from service.errors import KitwrightError
from service.web.desk import segment_card
from service.web.front import Front
from service.web.locking_views import LockingView
from service.web.open_orders import open_orders_of
from service.web.pages import Who, page
from service.web.views import Form as FormView
from service.work.damage_reports import show_report
from service.work.what_locks import what_locks

MOST = 2**31 - 1
Text = Annotated[str, Query(max_length=512)]


def locking_routes(front: Front) -> APIRouter:
    """``/desk/segments/…/locking``."""
    routes = front.routes()

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
        return locking_page(front, who, number, form=FormView(), kept=kept, report=report, mark=mark)

    return routes


def locking_page(
    front: Front,
    who: Who,
    number: str,
    *,
    form: FormView,
    kept: tuple[str, ...] | None,
    report: int | None,
    mark: str = "",
) -> Response:
    """The page of what will lock, with the form that orders.

    Args:
        front: the records, and the words of problems.
        who: who looks at it.
        number: of the broken segment.
        form: what the reorder form had in it when it came back with a problem.
        kept: the neighbours that survived; None for all of them.
        report: the damage report that led here.
        mark: what was read; a piece's key says which piece broke.
    """
    workshop = front.workshop
    reported = show_report(workshop, report) if report is not None else None
    if reported is not None and not form.values:
        piece = reported.choice.key if reported.choice and reported.choice.number == number else None
        form = FormView({"reason": reported.words[:240], "mark": mark or piece or ""}, form.problem)
    view = segment_card(workshop, number, mark=mark, form=form, kept=kept)
    asked, found = FormView(), None
    try:
        # A piece's own key says which revision broke; the number alone leaves that to the record.
        found = what_locks(workshop, view.broken_piece or view.number.text, survivors=kept)
    except KitwrightError as error:
        asked = FormView({}, front.problem(error))
    problem = form.problem or asked.problem
    return page(
        "locking.html",
        who=who,
        desk="/desk",
        status=problem.status if problem else 200,
        view=view,
        locking=LockingView.of(found) if found else None,
        asked=asked,
        report=report,
        open_orders=open_orders_of(workshop, view.number.text),
    )
