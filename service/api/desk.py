"""The service desk: one broken segment is ordered again."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers import ReorderAnswer, ReorderListAnswer
from schemas.answers.order_states import OrderState
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.api.problems import RESPONSES
from service.api.requests import (
    MOST_ID,
    IdempotencyKey,
    Override,
    PageSize,
    ReorderId,
    actor_of,
    answers_file,
    attachment,
    retry_of,
)
from service.work import fit, packet, reorder
from service.work.workshop import Workshop


def desk_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/reorders", tags=["desk"], responses=RESPONSES)

    @router.post("", status_code=201, response_model=ReorderAnswer)
    def post_reorder(
        body: ReorderRequest, request: Request, response: Response, idempotency_key: IdempotencyKey = None
    ) -> ReorderAnswer:
        """Decide which revision still locks, say why, and give the new piece its own key."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        answer = reorder.reorder(workshop, body, actor=actor_of(request), retry=retry)
        response.headers["Location"] = f"/api/reorders/{answer.id}"
        return answer

    @router.get("", response_model=ReorderListAnswer)
    def get_reorders(
        response: Response,
        after: Annotated[
            int | None, Query(description="Id of the last reorder of the page before.", ge=1, le=MOST_ID)
        ] = None,
        limit: PageSize = 50,
        *,
        state: Annotated[OrderState | None, Query(description="Only orders at this state.")] = None,
        ask_fitted: Annotated[
            bool, Query(description="Only orders of which the plant is to be asked now whether they are fitted.")
        ] = False,
    ) -> ReorderListAnswer:
        """Reorders, the newest first; the header ``Link`` leads to the next page."""
        rows = reorder.list_reorders(workshop, after=after, limit=limit + 1, state=state, ask_fitted=ask_fitted)
        if len(rows) > limit:
            only = (f"&state={state}" if state else "") + ("&ask_fitted=true" if ask_fitted else "")
            response.headers["Link"] = f'</api/reorders?after={rows[limit - 1].id}&limit={limit}{only}>; rel="next"'
        return ReorderListAnswer(reorders=rows[:limit])

    @router.get("/{reorder_id}", response_model=ReorderAnswer)
    def get_reorder(reorder_id: ReorderId) -> ReorderAnswer:
        """A reorder with its decision as it was made."""
        return reorder.show_reorder(workshop, reorder_id)

    @router.get(
        "/{reorder_id}/packet.zip", response_class=Response, responses=answers_file("The packet.", "application/zip")
    )
    def get_packet(reorder_id: ReorderId, request: Request, override: Override = None) -> Response:
        """The cut file with verified hash, engraving, nameplate and work sheet; refused if one byte is wrong."""
        data = packet.reorder_packet(workshop, reorder_id, override=override, actor=actor_of(request))
        return attachment(data, "application/zip", f"reorder {reorder_id}.zip")

    @router.get(
        "/{reorder_id}/work-sheet.pdf",
        response_class=Response,
        responses=answers_file("The work sheet.", "application/pdf"),
    )
    def get_work_sheet(reorder_id: ReorderId) -> Response:
        """The work sheet alone."""
        return attachment(
            packet.work_sheet(workshop, reorder_id), "application/pdf", f"reorder {reorder_id}.pdf", inline=True
        )

    @router.get(
        "/{reorder_id}/inspection-sheet.pdf",
        response_class=Response,
        responses=answers_file("The inspection sheet.", "application/pdf"),
    )
    def get_inspection_sheet(reorder_id: ReorderId) -> Response:
        """What the finished piece is measured for, at 20 °C and as it reads warm; refused while nothing can be cut."""
        data = packet.inspection_pdf(workshop, reorder_id)
        return attachment(data, "application/pdf", f"reorder {reorder_id} inspection.pdf", inline=True)

    @router.post("/{reorder_id}/fitted", response_model=ReorderAnswer)
    def post_fitted(
        reorder_id: ReorderId, body: FittedRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> ReorderAnswer:
        """The new piece is in the machine and is the as-built one from now on."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return fit.fit_reorder(workshop, reorder_id, body, actor=actor_of(request), retry=retry)

    @router.post("/{reorder_id}/cancelled", response_model=ReorderAnswer)
    def post_cancelled(
        reorder_id: ReorderId, body: CancelRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> ReorderAnswer:
        """The order is not wanted any more; its keys stay spent."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return fit.cancel_reorder(workshop, reorder_id, body, actor=actor_of(request), retry=retry)

    return router
