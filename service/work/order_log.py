"""Every step of an order is written down, and those who asked for it are told: in one transaction."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime, timedelta

from sqlalchemy import Connection

from schemas.answers.order_states import MeasuredAnswer, StepAnswer
from service.rules.order_states import ASK_FITTED_AFTER_DAYS, State
from service.store import order_steps
from service.store.order_steps import NewStep, StepRow
from service.store.values import ReorderRow
from service.work.webhook_notices import tell_of


def log_steps(connection: Connection, order: ReorderRow, steps: Sequence[NewStep]) -> tuple[StepRow, ...]:
    """Write steps that are taken at once; webhooks are told of the last one.

    Args:
        connection: the writer's.
        order: the order as it stood before them.
        steps: what was reached, in order.
    """
    rows = tuple(order_steps.add_step(connection, step) for step in steps)
    tell_of(connection, order, rows[-1], before=rows[-2].state if len(rows) > 1 else order.step)
    return rows


def step_answers(rows: Sequence[StepRow]) -> tuple[StepAnswer, ...]:
    """Steps as they cross the edge."""
    return tuple(
        StepAnswer.model_validate(
            {
                "ordinal": row.ordinal,
                "state": row.state,
                "at": row.at,
                "by": row.actor,
                "evidence": row.evidence,
                "rejected": tuple(json.loads(row.rejected)),
                "reason": row.reason,
                "measured": tuple(MeasuredAnswer(**one) for one in json.loads(row.measured)),
            }
        )
        for row in rows
    )


_ASKED_AFTER = timedelta(days=ASK_FITTED_AFTER_DAYS)


def ask_fitted_at(row: ReorderRow) -> str | None:
    """From when on somebody asks whether the piece of a shipped order is in the machine; None for other orders."""
    if row.step != "shipped" or row.step_at is None:
        return None
    return _written(datetime.fromisoformat(row.step_at) + _ASKED_AFTER)


def shipped_before(now: str) -> str:
    """The moment before which an order was shipped, or last answered "not yet", for it to be asked about now."""
    return _written(datetime.fromisoformat(now) - _ASKED_AFTER)


def _written(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def state_of(row: ReorderRow) -> State:
    """How far an order is."""
    # Every verb writes a step; whoever writes orders past them has at least this much.
    fallback = {"open": "identified" if row.revision_id is None else "decided"}
    state: State = row.step or fallback.get(row.state, row.state)  # type: ignore[assignment]  # the database holds no other
    return state
