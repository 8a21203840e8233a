"""For whoever runs the shop's own programs: addresses that are told of every step of an order."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query, Request, Response

from schemas.webhooks import (
    DeliveryAnswer,
    DeliveryListAnswer,
    NewWebhookAnswer,
    WebhookAnswer,
    WebhookListAnswer,
    WebhookRequest,
)
from service.api.problems import RESPONSES
from service.api.requests import MOST_ID, IdempotencyKey, PageSize, actor_of, retry_of
from service.work import webhooks
from service.work.workshop import Workshop

WebhookId = Annotated[int, Path(description="Id of the webhook.", examples=[2], alias="webhook_id", ge=1, le=MOST_ID)]
DeliveryId = Annotated[int, Path(description="Id of the notice.", examples=[90], alias="delivery_id", ge=1, le=MOST_ID)]


def webhook_routes(workshop: Workshop, *, loopback: bool) -> APIRouter:
    """The routes over one workshop; ``loopback`` says whether notices may go to this very machine."""
    router = APIRouter(prefix="/api/webhooks", tags=["webhooks"], responses=RESPONSES)

    @router.post("", status_code=201, response_model=NewWebhookAnswer)
    def post_webhook(
        body: WebhookRequest, request: Request, response: Response, idempotency_key: IdempotencyKey = None
    ) -> NewWebhookAnswer:
        """Register an address; the secret that signs its notices stands in this answer only."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        answer = webhooks.add_webhook(workshop, body, loopback=loopback, actor=actor_of(request), retry=retry)
        response.headers["Location"] = f"/api/webhooks/{answer.id}/deliveries"
        return answer

    @router.get("", response_model=WebhookListAnswer)
    def get_webhooks() -> WebhookListAnswer:
        """Every webhook with how its notices stand, the newest first."""
        return WebhookListAnswer(webhooks=webhooks.list_webhooks(workshop))

    @router.post("/{webhook_id}/ended", response_model=WebhookAnswer)
    def post_ended(webhook_id: WebhookId, request: Request, idempotency_key: IdempotencyKey = None) -> WebhookAnswer:
        """Send nothing more to it; a new secret is had by registering the address again."""
        retry = retry_of(request, idempotency_key, b"")
        return webhooks.end_webhook(workshop, webhook_id, actor=actor_of(request), retry=retry)

    @router.get("/{webhook_id}/deliveries", response_model=DeliveryListAnswer)
    def get_deliveries(
        webhook_id: WebhookId,
        response: Response,
        *,
        state: Annotated[
            Literal["waiting", "delivered", "given_up"] | None, Query(description="Only notices that stand so.")
        ] = None,
        after: Annotated[
            int | None, Query(description="Id of the last notice of the page before.", ge=1, le=MOST_ID)
        ] = None,
        limit: PageSize = 50,
    ) -> DeliveryListAnswer:
        """What became of its notices, the newest first; the header ``Link`` leads to the next page."""
        rows = webhooks.list_deliveries(workshop, webhook_id, after=after, limit=limit + 1, state=state)
        if len(rows) > limit:
            only = f"&state={state}" if state else ""
            following = f"/api/webhooks/{webhook_id}/deliveries?after={rows[limit - 1].id}&limit={limit}{only}"
            response.headers["Link"] = f'<{following}>; rel="next"'
        return DeliveryListAnswer(deliveries=rows[:limit])

    @router.post("/{webhook_id}/deliveries/{delivery_id}/again", response_model=DeliveryAnswer)
    def post_again(
        webhook_id: WebhookId, delivery_id: DeliveryId, request: Request, idempotency_key: IdempotencyKey = None
    ) -> DeliveryAnswer:
        """Send a notice at once that waits for its next try or was given up."""
        retry = retry_of(request, idempotency_key, b"")
        return webhooks.send_again(workshop, webhook_id, delivery_id, actor=actor_of(request), retry=retry)

    return router
