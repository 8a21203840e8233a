"""An order on its way: the decision, how far it is, the next step, and what the plant says of the new piece."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.faults import checked
from schemas.order_states import FittedAnswerRequest, StepRequest
from schemas.requests import CancelRequest, FittedRequest
from service.errors import KitwrightError
from service.web.desk_views import ReorderCard
from service.web.front import OWNER, Front, go
from service.web.order_views import OrderProgress
from service.web.pages import Who, page
from service.web.reorders import ReorderId
from service.web.views import Form as FormView
from service.web.views import Number
from service.work.ask_fitted import answer_fitted
from service.work.fit import cancel_reorder, fit_reorder
from service.work.order_states import step_order
from service.work.reorder import show_reorder
from service.work.resolve import resolve_mark

Field = Annotated[str, Form(max_length=2000)]


def order_progress_routes(front: Front) -> APIRouter:
    """``/desk/reorders/…`` and the steps under it."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/desk/reorders/{reorder_id}")
    def decision(request: Request, reorder_id: ReorderId) -> Response:
        return _order_page(front, front.inside(request), reorder_id, FormView())

    @routes.post("/desk/reorders/{reorder_id}/state")
    def step(
        request: Request,
        reorder_id: ReorderId,
        *,
        state: Field = "",
        evidence: Field = "",
        reason: Field = "",
        promised_on: Field = "",
        measured_mm: Field = "",
        temperature_c: Field = "",
        nominal_mm: Field = "",
        tolerance_mm: Field = "",
        undo: Field = "",
    ) -> Response:
        who = front.inside(request)
        thickness = {
            "measured_mm": measured_mm,
            "temperature_c": temperature_c or "20",
            "nominal_mm": nominal_mm or None,
            "tolerance_mm": tolerance_mm or None,
        }
        measured = {name: text.replace(",", ".").strip() for name, text in thickness.items() if text}
        values = {
            "evidence": evidence,
            "reason": reason,
            "promised_on": promised_on,
            "undo": undo,
            **{name: text or "" for name, text in thickness.items()},
        }
        try:
            asked = checked(
                StepRequest,
                {
                    "state": state,
                    "evidence": evidence,
                    "reason": reason.strip() or None,
                    "promised_on": promised_on.strip() or None,
                    "measured": [{"feature": "thickness", **measured}] if measured_mm.strip() else [],
                },
            )
            step_order(workshop, reorder_id, asked, actor=OWNER)
        except KitwrightError as error:
            return _order_page(front, who, reorder_id, FormView(values, front.problem(error)))
        return go(f"/desk/reorders/{reorder_id}")

    @routes.post("/desk/reorders/{reorder_id}/fitted-answer")
    def plant_says(
        request: Request,
        reorder_id: ReorderId,
        *,
        answer: Field = "",
        why: Field = "",
        reason: Field = "",
        deviations: Field = "",
    ) -> Response:
        who = front.inside(request)
        said: dict[str, object] = {"answer": answer}
        if answer == "no":
            said |= {"why": why or None, "reason": reason.strip() or None}
        if answer == "yes":
            said["deviations"] = deviations.strip() or None
        try:
            told = answer_fitted(workshop, reorder_id, checked(FittedAnswerRequest, said), actor=OWNER)
        except KitwrightError as error:
            values = {"why": why or answer, "reason": reason, "deviations": deviations}
            return _order_page(front, who, reorder_id, FormView(values, front.problem(error)))
        # What is wrong with the new piece is decided anew, in its damage report.
        return go(f"/desk/reports/{told.report}" if answer == "no" else f"/desk/reorders/{reorder_id}")

    @routes.post("/desk/reorders/{reorder_id}/fitted")
    def fitted(request: Request, reorder_id: ReorderId, deviations: Field = "") -> Response:
        front.inside(request)
        fit_reorder(
            workshop, reorder_id, checked(FittedRequest, {"deviations": deviations.strip() or None}), actor=OWNER
        )
        return go(f"/desk/reorders/{reorder_id}")

    @routes.post("/desk/reorders/{reorder_id}/cancelled")
    def cancelled(request: Request, reorder_id: ReorderId, reason: Field = "") -> Response:
        front.inside(request)
        cancel_reorder(workshop, reorder_id, checked(CancelRequest, {"reason": reason}), actor=OWNER)
        return go(f"/desk/reorders/{reorder_id}")

    return routes


def _order_page(front: Front, who: Who, reorder_id: int, form: FormView) -> Response:
    facts = show_reorder(front.workshop, reorder_id)
    segment = resolve_mark(front.workshop, facts.number)
    wanted = segment.measured_thickness_mm or segment.thickness_mm
    view = ReorderCard(
        Number(facts.number),
        facts,
        segment.cautions,
        OrderProgress.of(facts, front.workshop.now()),
        thickness=f"{wanted:g}",
    )
    status = form.problem.status if form.problem else 200
    return page("reorder.html", who=who, desk="/desk", status=status, view=view, form=form)
