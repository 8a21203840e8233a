"""Webhooks: addresses that are told of every step of an order, and what became of each notice."""

from __future__ import annotations

import secrets

from sqlalchemy import Connection

from schemas.webhooks import (
    DeliveryAnswer,
    NewWebhookAnswer,
    WebhookAnswer,
    WebhookRequest,
)
from service.errors import NothingToSend, WebhookUnknown
from service.store import events, webhooks
from service.store.webhooks import Counts, DeliveryRow, DeliveryState, WebhookRow
from service.webhooks.address import WebhookAddress
from service.work.once import NO_RETRY, Retry, once
from service.work.workshop import SERVICE, Actor, Workshop


def add_webhook(
    workshop: Workshop,
    request: WebhookRequest,
    *,
    loopback: bool,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> NewWebhookAnswer:
    """Register an address; its secret stands in this answer only.

    Args:
        workshop: the records.
        request: the address, and which states it is told of.
        loopback: whether notices may go to this very machine.
        actor: who registers it.
        retry: the request as it is known again.

    Raises:
        BadWebhookAddress: nothing is sent to such an address.
    """
    address = WebhookAddress.parse(request.url, loopback=loopback)
    with workshop.database.write() as connection:

        def work() -> NewWebhookAnswer:
            now = workshop.now()
            secret = secrets.token_urlsafe(32)
            states = tuple(dict.fromkeys(request.states))
            id_ = webhooks.add_webhook(
                connection,
                name=request.name,
                url=address.url,
                secret=secret,
                states=states,
                at=now,
                actor=actor.name,
            )
            told = {"webhook": id_, "name": request.name, "url": address.url, "states": list(states)}
            events.record(
                connection, at=now, actor=actor.name, verb="webhook", subject=f"webhook {id_}", before=None, after=told
            )
            row = _on_record(connection, id_)
            return NewWebhookAnswer.model_validate({**_facts(row, Counts()), "secret": secret})

        return once(connection, retry, NewWebhookAnswer, workshop.now(), work)


def list_webhooks(workshop: Workshop) -> tuple[WebhookAnswer, ...]:
    """Every webhook, the newest first."""
    with workshop.database.read() as connection:
        counts = webhooks.counts(connection)
        return tuple(
            WebhookAnswer.model_validate(_facts(row, counts.get(row.id, Counts())))
            for row in webhooks.list_webhooks(connection)
        )


def end_webhook(
    workshop: Workshop, webhook_id: int, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> WebhookAnswer:
    """Send nothing more to it; what waits is given up. One that is ended stays so.

    Raises:
        WebhookUnknown: there is no such webhook.
    """
    with workshop.database.write() as connection:

        def work() -> WebhookAnswer:
            row = _on_record(connection, webhook_id)
            if row.ended_at is None:
                now = workshop.now()
                webhooks.end_webhook(connection, webhook_id, now)
                events.record(
                    connection,
                    at=now,
                    actor=actor.name,
                    verb="webhook ended",
                    subject=f"webhook {webhook_id}",
                    before={"webhook": webhook_id, "ended_at": None},
                    after={"webhook": webhook_id, "ended_at": now},
                )
            counts = webhooks.counts(connection).get(webhook_id, Counts())
            return WebhookAnswer.model_validate(_facts(_on_record(connection, webhook_id), counts))

        return once(connection, retry, WebhookAnswer, workshop.now(), work)


def list_deliveries(
    workshop: Workshop, webhook_id: int, *, after: int | None, limit: int, state: DeliveryState | None = None
) -> tuple[DeliveryAnswer, ...]:
    """Notices to a webhook, the newest first, of one state where it is named; raises WebhookUnknown."""
    with workshop.database.read() as connection:
        _on_record(connection, webhook_id)
        rows = webhooks.delivery_page(connection, after=after, limit=limit, webhook_id=webhook_id, state=state)
    return tuple(_delivery(row) for row in rows)


def send_again(
    workshop: Workshop, webhook_id: int, delivery_id: int, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> DeliveryAnswer:
    """Send a notice at once that waits or was given up, with all its tries before it.

    Raises:
        WebhookUnknown: there is no such webhook or notice.
        NothingToSend: it was delivered, or the webhook is ended.
    """
    with workshop.database.write() as connection:

        def work() -> DeliveryAnswer:
            hook = _on_record(connection, webhook_id)
            row = webhooks.find_delivery(connection, delivery_id)
            if row is None or row.webhook_id != webhook_id:
                raise WebhookUnknown(
                    "this webhook has no such notice",
                    field="delivery",
                    value=delivery_id,
                    todo="Look it up in the list of its notices",
                )
            if row.state == "delivered" or hook.ended_at is not None:
                raise NothingToSend(
                    "it was delivered" if row.state == "delivered" else "the webhook is ended",
                    field="delivery",
                    value=delivery_id,
                    todo="Register the address again to have the next steps sent",
                )
            now = workshop.now()
            webhooks.wait_again(connection, delivery_id, now)
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="webhook again",
                subject=f"webhook {webhook_id}",
                before={"delivery": delivery_id, "state": row.state},
                after={"delivery": delivery_id, "state": "waiting"},
            )
            again = webhooks.find_delivery(connection, delivery_id)
            assert again is not None
            return _delivery(again)

        return once(connection, retry, DeliveryAnswer, workshop.now(), work)


def _on_record(connection: Connection, webhook_id: int) -> WebhookRow:
    row = webhooks.find_webhook(connection, webhook_id)
    if row is None:
        raise WebhookUnknown(
            "no webhook has this id", field="id", value=webhook_id, todo="Look it up in the list of webhooks"
        )
    return row


def _facts(row: WebhookRow, counts: Counts) -> dict[str, object]:
    return {
        "id": row.id,
        "name": row.name,
        "url": row.url,
        "states": row.states,
        "made_at": row.made_at,
        "made_by": row.made_by,
        "ended_at": row.ended_at,
        "waiting": counts.waiting,
        "delivered": counts.delivered,
        "given_up": counts.given_up,
    }


def _delivery(row: DeliveryRow) -> DeliveryAnswer:
    return DeliveryAnswer.model_validate(
        {
            "id": row.id,
            "webhook": row.webhook_id,
            "order": row.reorder_id,
            "order_state": row.order_state,
            "state": row.state,
            "tries": row.tries,
            "made_at": row.made_at,
            "next_try_at": row.next_try_at,
            "ended_at": row.ended_at,
            "said": row.said,
        }
    )
