"""Send one notice that is due: claimed, posted outside any transaction, settled.

A process that dies between posting and settling leaves a claim that ends by itself, and the notice is sent again: at
least once, never lost. Its id lets a receiver drop what it has seen.
"""

from __future__ import annotations

import secrets
import time
from datetime import datetime, timedelta
from typing import Protocol

from service.rules.retrying import wait_after
from service.store import webhooks
from service.store.webhooks import DeliveryRow, WebhookRow
from service.webhooks.address import WebhookAddress
from service.webhooks.posting import TIMEOUT_S, Posted, post
from service.webhooks.signing import headers
from service.work.workshop import Workshop

HOLDS = timedelta(seconds=6 * TIMEOUT_S)
"""How long a claim holds: longer than a name that is looked up slowly and a receiver that hangs."""


class Post(Protocol):
    """Posts a notice."""

    def __call__(self, address: WebhookAddress, body: bytes, headers: dict[str, str], *, loopback: bool) -> Posted:
        """As ``service.webhooks.posting.post``."""
        ...


def is_due(workshop: Workshop) -> bool:
    """Whether a notice waits to be sent now; asks without the writer's lock."""
    with workshop.database.read() as connection:
        return webhooks.any_due(connection, workshop.now())


def send_one(workshop: Workshop, *, loopback: bool, how: Post = post) -> bool:
    """Send the notice that has waited longest; False when there is none that nobody else is sending.

    Args:
        workshop: the records.
        loopback: whether notices may go to this very machine.
        how: posts it.
    """
    owner = secrets.token_hex(16)
    with workshop.database.write() as connection:
        now = workshop.now()
        due = webhooks.claim_one(connection, now=now, owner=owner, until=_later(now, HOLDS))
        hook = None if due is None else webhooks.find_webhook(connection, due.webhook_id)
    if due is None or hook is None:
        return False
    posted = _posted(due, hook, loopback=loopback, how=how)
    with workshop.database.write() as connection:
        now = workshop.now()
        tries = due.tries + 1
        wait = None if posted.taken else wait_after(tries)
        webhooks.settle(
            connection,
            due.id,
            owner=owner,
            state="delivered" if posted.taken else "given_up" if wait is None else "waiting",
            tries=tries,
            next_try_at=None if wait is None else _later(now, timedelta(seconds=wait)),
            ended_at=now if wait is None else None,
            said=posted.said,
        )
    return True


def _posted(due: DeliveryRow, hook: WebhookRow, *, loopback: bool, how: Post) -> Posted:
    address = WebhookAddress.parse(hook.url, loopback=True)
    body = due.body.encode()
    return how(
        address,
        body,
        headers(hook.secret, delivery=due.id, timestamp=int(time.time()), body=body),
        loopback=loopback,
    )


def _later(moment: str, by: timedelta) -> str:
    return (datetime.fromisoformat(moment) + by).strftime("%Y-%m-%dT%H:%M:%SZ")
