"""Notices to the shop's own programs: where they go, and each of them until it is taken or given up."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class Webhook(Numbered):
    """An address that is told of changes of state. ``states`` is a JSON list, empty for all.

    The secret stands here as it is, because a signature cannot be made from a hash of it.
    """

    __tablename__ = "webhook"
    __table_args__ = (CheckConstraint("length(secret) >= 32", name="secret"),)

    name: Mapped[str] = mapped_column(String(40))
    url: Mapped[str] = mapped_column(String(1000))
    secret: Mapped[str] = mapped_column(String(100))
    states: Mapped[str] = mapped_column(Text)
    made_at: Mapped[str] = mapped_column(String(27))
    made_by: Mapped[str] = mapped_column(String(120))
    ended_at: Mapped[str | None] = mapped_column(String(27))


class WebhookDelivery(Numbered):
    """One notice to one webhook, written in the transaction of the step that it tells of.

    Whoever sends it writes its name and until when into ``owner`` and ``owned_until``. What is ``delivered`` stays so.
    """

    __tablename__ = "webhook_delivery"
    __table_args__ = (
        UniqueConstraint("webhook_id", "order_step_id"),
        CheckConstraint("state IN ('waiting', 'delivered', 'given_up')", name="state"),
        CheckConstraint("tries >= 0", name="tries"),
        CheckConstraint("(owner IS NULL) = (owned_until IS NULL)", name="owner"),
        CheckConstraint("(state = 'waiting') = (next_try_at IS NOT NULL)", name="next_try_at"),
        Index("ix_webhook_delivery_state_next_try_at", "state", "next_try_at"),
    )

    webhook_id: Mapped[int] = mapped_column(ForeignKey("webhook.id"))
    order_step_id: Mapped[int] = mapped_column(ForeignKey("order_step.id"))
    body: Mapped[str] = mapped_column(Text)
    made_at: Mapped[str] = mapped_column(String(27))
    state: Mapped[str] = mapped_column(String(9))
    tries: Mapped[int]
    next_try_at: Mapped[str | None] = mapped_column(String(27))
    owner: Mapped[str | None] = mapped_column(String(160))
    owned_until: Mapped[str | None] = mapped_column(String(27))
    ended_at: Mapped[str | None] = mapped_column(String(27))
    said: Mapped[str] = mapped_column(String(500))
