"""What was proved of a finished piece: that the marks on it are its own, and what was measured."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class Inspection(Numbered):
    """One look at one piece, or at a count of like ones; rows are only ever added, and the last one of a piece counts.

    ``plate`` and ``engraving`` are texts as they were scanned or typed.
    """

    __tablename__ = "inspection"
    __table_args__ = (
        CheckConstraint("verdict IN ('right', 'wrong')", name="verdict"),
        CheckConstraint("thickness_mm IS NULL OR thickness_mm > 0", name="thickness_mm"),
        Index("ix_inspection_piece_id", "piece_id"),
    )

    piece_id: Mapped[int] = mapped_column(ForeignKey("piece.id"))
    inspected_at: Mapped[str] = mapped_column(String(27))
    inspected_by: Mapped[str] = mapped_column(String(120))
    plate: Mapped[str] = mapped_column(String(512))
    engraving: Mapped[str | None] = mapped_column(String(512))
    engraved_revision: Mapped[str | None] = mapped_column(String(3))
    thickness_mm: Mapped[float | None]
    verdict: Mapped[str] = mapped_column(String(5))
    found: Mapped[str] = mapped_column(String(1000))
