"""What became of pieces and of kits: how a piece came to its end, and why a kit was taken out of use."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base


class PieceEnd(Base):
    """How a scrapped piece came to its end; ``reorder_id`` is the reorder whose new piece took its place."""

    __tablename__ = "piece_end"
    __table_args__ = (
        CheckConstraint(
            "kind IN ('broken', 'worn', 'lost', 'misworked', 'other', 'replaced', 'cancelled', 'voided')", name="kind"
        ),
        Index("ix_piece_end_reorder_id", "reorder_id"),
    )

    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"), primary_key=True, autoincrement=False)
    kind: Mapped[str] = mapped_column(String(10))
    note: Mapped[str] = mapped_column(String(300))
    ended_at: Mapped[str] = mapped_column(String(27))
    reorder_id: Mapped[int | None] = mapped_column(ForeignKey("reorder.id"))


class Retirement(Base):
    """A kit that is out of use for good: its numbers stay spent and still resolve."""

    __tablename__ = "retirement"

    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"), primary_key=True, autoincrement=False)
    reason: Mapped[str] = mapped_column(String(240))
    retired_at: Mapped[str] = mapped_column(String(27))
