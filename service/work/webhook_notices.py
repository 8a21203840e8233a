"""Notices of steps: written for every webhook that wants them, in the transaction that takes the step.

So a notice exists exactly when the step does, whatever happens to the process before it is sent.
"""

from __future__ import annotations

import json

from sqlalchemy import Connection

from service.store import webhooks
from service.store.order_steps import StepRow
from service.store.values import ReorderRow

EVENT = "order_state"


def tell_of(connection: Connection, order: ReorderRow, step: StepRow, *, before: str | None) -> None:
    """Write a notice of a step for every webhook in use that asked for such steps.

    Args:
        connection: the writer's.
        order: the order.
        step: the step that it took.
        before: the state that it stood at; None for none.
    """
    for hook in reversed(webhooks.list_webhooks(connection, in_use=True)):
        if hook.states and step.state not in hook.states:
            continue
        id_ = webhooks.next_delivery_id(connection)
        body = {
            "event": EVENT,
            "delivery": id_,
            "order": order.id,
            "sequence": step.ordinal,
            "state": step.state,
            "before": before,
            "at": step.at,
            "by": step.actor,
            "reason": step.reason,
            "number": order.number,
            "key": order.new_key,
            "quantity": order.quantity,
            "cut_file": order.cut_file,
            "revision": order.revision,
            "sha256": order.sha256,
            "report": order.report_id,
            "promised_on": step.promised_on or order.promised_on,
        }
        webhooks.add_delivery(
            connection,
            id_=id_,
            webhook_id=hook.id,
            order_step_id=step.id,
            body=json.dumps(body, ensure_ascii=False),
            at=step.at,
        )
