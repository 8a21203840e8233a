"""How a reorder came to where it is: one row a step, only ever added."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class OrderStep(Numbered):
    """A state that a reorder reached: who said so, when, on what evidence; the last one is how it stands.

    ``rejected`` and ``measured`` are JSON lists, ``promised_on`` is a day.
    """

    __tablename__ = "order_step"
    __table_args__ = (
        UniqueConstraint("reorder_id", "ordinal"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint(
            "state IN ('reported', 'identified', 'decided', 'released_to_cut', 'cut', 'inspected', 'shipped', 'fitted',"
            " 'cancelled')",
            name="state",
        ),
    )

    reorder_id: Mapped[int] = mapped_column(ForeignKey("reorder.id"))
    ordinal: Mapped[int]
    state: Mapped[str] = mapped_column(String(16))
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))
    evidence: Mapped[str] = mapped_column(Text)
    rejected: Mapped[str] = mapped_column(Text)
    reason: Mapped[str | None] = mapped_column(String(240))
    measured: Mapped[str] = mapped_column(Text)
    promised_on: Mapped[str | None] = mapped_column(String(10))
