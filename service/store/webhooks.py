"""Webhooks, and the notices to them: written beside what they tell of, claimed by one sender at a time, settled."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import ColumnElement, Connection, and_, func, insert, or_, select, update
from sqlalchemy.orm import aliased

from service.store.database import next_id
from service.store.tables import OrderStep, Webhook, WebhookDelivery, table_of

DeliveryState = Literal["waiting", "delivered", "given_up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WebhookRow:
    """An address that is told of changes; ``states`` is empty for all."""

    id: int
    name: str
    url: str
    secret: str
    states: tuple[str, ...]
    made_at: str
    made_by: str
    ended_at: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryRow:
    """A notice as it stands, with the order and the state that it tells of."""

    id: int
    webhook_id: int
    order_step_id: int
    reorder_id: int
    order_state: str
    body: str
    made_at: str
    state: DeliveryState
    tries: int
    next_try_at: str | None
    ended_at: str | None
    said: str


@dataclass(frozen=True, slots=True)
class Counts:
    """How many notices of a webhook stand where."""

    waiting: int = 0
    delivered: int = 0
    given_up: int = 0


_WEBHOOK = tuple(getattr(Webhook, name) for name in WebhookRow.__slots__)
_FROM_STEP = {"reorder_id": OrderStep.reorder_id, "order_state": OrderStep.state.label("order_state")}
_DELIVERIES = select(
    *(_FROM_STEP[name] if name in _FROM_STEP else getattr(WebhookDelivery, name) for name in DeliveryRow.__slots__)
).join(OrderStep, OrderStep.id == WebhookDelivery.order_step_id)


def add_webhook(
    connection: Connection, *, name: str, url: str, secret: str, states: Sequence[str], at: str, actor: str
) -> int:
    """Put a webhook on record; its id."""
    id_ = next_id(connection, Webhook)
    connection.execute(
        insert(table_of(Webhook)),
        {
            "id": id_,
            "name": name,
            "url": url,
            "secret": secret,
            "states": json.dumps(list(states)),
            "made_at": at,
            "made_by": actor,
            "ended_at": None,
        },
    )
    return id_


def list_webhooks(connection: Connection, *, in_use: bool = False) -> tuple[WebhookRow, ...]:
    """Every webhook, the newest first; only those still in use when asked so."""
    query = select(*_WEBHOOK).order_by(Webhook.id.desc())
    if in_use:
        query = query.where(Webhook.ended_at.is_(None))
    rows = [dict(row._mapping) for row in connection.execute(query)]
    return tuple(WebhookRow(**{**row, "states": tuple(json.loads(row["states"]))}) for row in rows)


def find_webhook(connection: Connection, webhook_id: int) -> WebhookRow | None:
    """A webhook by its id."""
    return next((row for row in list_webhooks(connection) if row.id == webhook_id), None)


def end_webhook(connection: Connection, webhook_id: int, at: str) -> None:
    """Nothing more is sent to a webhook; what waits is given up."""
    hook, delivery = table_of(Webhook), table_of(WebhookDelivery)
    connection.execute(update(hook).where(hook.c.id == webhook_id).values(ended_at=at))
    connection.execute(
        update(delivery)
        .where(delivery.c.webhook_id == webhook_id, delivery.c.state == "waiting")
        .values(
            state="given_up", next_try_at=None, ended_at=at, owner=None, owned_until=None, said="the webhook was ended"
        )
    )


def counts(connection: Connection) -> dict[int, Counts]:
    """How the notices stand, by webhook."""
    query = select(WebhookDelivery.webhook_id, WebhookDelivery.state, func.count()).group_by(
        WebhookDelivery.webhook_id, WebhookDelivery.state
    )
    found: dict[int, dict[str, int]] = {}
    for webhook_id, state, number in connection.execute(query):
        found.setdefault(webhook_id, {})[state] = number
    return {id_: Counts(**numbers) for id_, numbers in found.items()}


def next_delivery_id(connection: Connection) -> int:
    """The id that the next notice gets, for its own body."""
    return next_id(connection, WebhookDelivery)


def add_delivery(connection: Connection, *, id_: int, webhook_id: int, order_step_id: int, body: str, at: str) -> None:
    """A notice, waiting to be sent at once."""
    connection.execute(
        insert(table_of(WebhookDelivery)),
        {
            "id": id_,
            "webhook_id": webhook_id,
            "order_step_id": order_step_id,
            "body": body,
            "made_at": at,
            "state": "waiting",
            "tries": 0,
            "next_try_at": at,
            "owner": None,
            "owned_until": None,
            "ended_at": None,
            "said": "",
        },
    )


def find_delivery(connection: Connection, delivery_id: int) -> DeliveryRow | None:
    """A notice by its id."""
    row = connection.execute(_DELIVERIES.where(WebhookDelivery.id == delivery_id)).one_or_none()
    return None if row is None else DeliveryRow(**row._mapping)


def delivery_page(
    connection: Connection,
    *,
    after: int | None,
    limit: int,
    webhook_id: int | None = None,
    state: DeliveryState | None = None,
) -> tuple[DeliveryRow, ...]:
    """Notices, the newest first, of one webhook and one state where these are named."""
    query = _DELIVERIES.order_by(WebhookDelivery.id.desc()).limit(limit)
    if after is not None:
        query = query.where(WebhookDelivery.id < after)
    if webhook_id is not None:
        query = query.where(WebhookDelivery.webhook_id == webhook_id)
    if state is not None:
        query = query.where(WebhookDelivery.state == state)
    return tuple(DeliveryRow(**row._mapping) for row in connection.execute(query))


def any_due(connection: Connection, now: str) -> bool:
    """Whether a notice waits that nobody sends just now; asked often, without the writer's lock."""
    return connection.scalar(select(WebhookDelivery.id).where(_due(now)).limit(1)) is not None


def claim_one(connection: Connection, *, now: str, owner: str, until: str) -> DeliveryRow | None:
    """Take the notice that has waited longest, so that no other sender takes it until the claim ends.

    One at a time of each webhook: a receiver that hangs holds up nobody else's, and gets its own in their order.
    """
    claimed = aliased(WebhookDelivery)
    busy = select(claimed.webhook_id).where(claimed.owner.is_not(None), claimed.owned_until > now)
    due = (
        select(WebhookDelivery.id)
        .where(_due(now), WebhookDelivery.webhook_id.not_in(busy))
        .order_by(WebhookDelivery.next_try_at, WebhookDelivery.id)
        .limit(1)
    )
    id_ = connection.scalar(due)
    if id_ is None:
        return None
    table = table_of(WebhookDelivery)
    connection.execute(update(table).where(table.c.id == id_).values(owner=owner, owned_until=until))
    return find_delivery(connection, id_)


def _due(now: str) -> ColumnElement[bool]:
    return and_(
        WebhookDelivery.state == "waiting",
        WebhookDelivery.next_try_at <= now,
        or_(WebhookDelivery.owner.is_(None), WebhookDelivery.owned_until <= now),
    )


def settle(
    connection: Connection,
    delivery_id: int,
    *,
    owner: str,
    state: DeliveryState,
    tries: int,
    next_try_at: str | None,
    ended_at: str | None,
    said: str,
) -> bool:
    """Say how a sending went and let go of the notice; False when the claim was another's by then."""
    table = table_of(WebhookDelivery)
    done = connection.execute(
        update(table)
        .where(table.c.id == delivery_id, table.c.owner == owner)
        .values(
            state=state,
            tries=tries,
            next_try_at=next_try_at,
            ended_at=ended_at,
            said=said[:500],
            owner=None,
            owned_until=None,
        )
    )
    return done.rowcount == 1


def wait_again(connection: Connection, delivery_id: int, at: str) -> None:
    """A notice that waits or was given up is sent at once, and counts its tries anew."""
    table = table_of(WebhookDelivery)
    connection.execute(
        update(table)
        .where(table.c.id == delivery_id, table.c.state != "delivered")
        .values(state="waiting", tries=0, next_try_at=at, ended_at=None, said="")
    )
