"""The service desk and the shop: how far orders are, the question whether a piece is fitted, and open work."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers import ReorderAnswer
from schemas.answers.order_states import OrderState
from schemas.open_work import OpenWorkAnswer
from schemas.order_states import FittedAnswerRequest, StepRequest
from schemas.text import Printable
from service.api.problems import RESPONSES
from service.api.requests import IdempotencyKey, ReorderId, actor_of, answers_file, attachment, retry_of
from service.work import ask_fitted, open_work, order_states
from service.work.workshop import Workshop

States = Annotated[
    list[OrderState] | None,
    Query(alias="state", description="Only orders at these states; may be given several times.", examples=[["cut"]]),
]
PlantCode = Annotated[
    Printable | None, Query(description="Only orders for this plant.", examples=["OSV"], max_length=8, alias="plant")
]
AskFitted = Annotated[
    bool | None, Query(description="Only orders of which the plant is to be asked now, or only the others.")
]


def order_state_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["orders"], responses=RESPONSES)

    @router.post("/reorders/{reorder_id}/state", response_model=ReorderAnswer)
    def post_state(
        reorder_id: ReorderId, body: StepRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> ReorderAnswer:
        """Take an order a step further, or back with a reason; `next_states` of the answer says what may follow.

        Two people who say the same at once are told apart by the states themselves: the second one is refused.
        """
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return order_states.step_order(workshop, reorder_id, body, actor=actor_of(request), retry=retry)

    @router.post("/reorders/{reorder_id}/fitted-answer", response_model=ReorderAnswer)
    def post_fitted_answer(
        reorder_id: ReorderId, body: FittedAnswerRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> ReorderAnswer:
        """What the plant says when it is asked whether the new piece is in the machine.

        After `no` the order is cancelled, since its key is on a piece that does not do, and `report` of the answer
        names the damage report that is to be decided again.
        """
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return ask_fitted.answer_fitted(workshop, reorder_id, body, actor=actor_of(request), retry=retry)

    @router.get("/open-work.json", response_model=OpenWorkAnswer)
    def get_open_work(state: States = None, plant: PlantCode = None, ask_fitted: AskFitted = None) -> OpenWorkAnswer:
        """Every order that is neither fitted nor cancelled, for the shop's own planning; the oldest first."""
        return open_work.open_work(workshop, states=state or (), plant=plant, ask_fitted=ask_fitted)

    @router.get("/open-work.csv", response_class=Response, responses=answers_file("The table.", "text/csv"))
    def get_open_work_table(state: States = None, plant: PlantCode = None, ask_fitted: AskFitted = None) -> Response:
        """The same as a table (RFC 4180); a text that a spreadsheet would run has an apostrophe in front."""
        answer = open_work.open_work(workshop, states=state or (), plant=plant, ask_fitted=ask_fitted)
        table = open_work.open_work_csv(answer).encode()
        return attachment(table, "text/csv; charset=utf-8", "open-work.csv")

    return router
