"""Damage reports: what a caller said, showed and confirmed, what the desk chose, and the orders that came of it.

Nothing here is ever changed: an answer that was wrong is followed by another, and the last one stands.
"""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class DamageReport(Numbered):
    """A call about a broken piece, as it began. ``follows_reorder_id`` is the order whose piece did not do."""

    __tablename__ = "damage_report"
    __table_args__ = (CheckConstraint("came_by IN ('eye', 'ear', 'keyboard')", name="came_by"),)

    words: Mapped[str] = mapped_column(String(2000))
    mark: Mapped[str | None] = mapped_column(String(512))
    came_by: Mapped[str | None] = mapped_column(String(8))
    caller: Mapped[str] = mapped_column(String(120))
    telephone: Mapped[str] = mapped_column(String(40))
    follows_reorder_id: Mapped[int | None] = mapped_column(ForeignKey("reorder.id"))
    reported_at: Mapped[str] = mapped_column(String(27))
    reported_by: Mapped[str] = mapped_column(String(120))


class DamageLink(Numbered):
    """A link that shows pictures to the caller; only the SHA-256 of its token is kept. ``numbers`` is a JSON list."""

    __tablename__ = "damage_link"
    __table_args__ = (
        UniqueConstraint("token_sha256"),
        CheckConstraint("length(token_sha256) = 64", name="token_sha256"),
        Index("ix_damage_link_damage_report_id", "damage_report_id"),
    )

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    token_sha256: Mapped[str] = mapped_column(String(64))
    numbers: Mapped[str] = mapped_column(Text)
    expires_at: Mapped[str] = mapped_column(String(27))
    made_at: Mapped[str] = mapped_column(String(27))
    made_by: Mapped[str] = mapped_column(String(120))


class DamageEvidence(Numbered):
    """One answer of a caller; with ``damage_link_id`` it came from the caller's own telephone."""

    __tablename__ = "damage_evidence"
    __table_args__ = (
        UniqueConstraint("damage_report_id", "ordinal"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint("came_by IN ('eye', 'ear', 'keyboard')", name="came_by"),
        CheckConstraint("tolerance_mm IS NULL OR tolerance_mm > 0", name="tolerance_mm"),
    )

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    ordinal: Mapped[int]
    question: Mapped[str] = mapped_column(String(24))
    answer: Mapped[str] = mapped_column(String(512))
    tolerance_mm: Mapped[float | None]
    came_by: Mapped[str | None] = mapped_column(String(8))
    damage_link_id: Mapped[int | None] = mapped_column(ForeignKey("damage_link.id"))
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))


class DamagePhoto(Numbered):
    """A photograph of a mark; its bytes lie in the vault. ``reading`` is what its symbols said then, as JSON."""

    __tablename__ = "damage_photo"
    __table_args__ = (
        UniqueConstraint("damage_report_id", "ordinal"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint("length(sha256) = 64", name="sha256"),
        CheckConstraint("media_type IN ('image/jpeg', 'image/png')", name="media_type"),
        CheckConstraint("size_bytes > 0 AND width_px > 0 AND height_px > 0", name="size"),
    )

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    ordinal: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    media_type: Mapped[str] = mapped_column(String(10))
    size_bytes: Mapped[int]
    width_px: Mapped[int]
    height_px: Mapped[int]
    typed: Mapped[str | None] = mapped_column(String(512))
    mark: Mapped[str | None] = mapped_column(String(512))
    reading: Mapped[str] = mapped_column(Text)
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))


class DamageChoice(Numbered):
    """The segment, and the piece where it is known, that the desk decided on; the last one of a report stands.

    ``rejected`` and ``shown`` are JSON lists.
    """

    __tablename__ = "damage_choice"
    __table_args__ = (
        UniqueConstraint("damage_report_id", "ordinal"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint("set_number IS NULL OR set_number >= 1", name="set_number"),
        Index("ix_damage_choice_segment_id", "segment_id"),
    )

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    ordinal: Mapped[int]
    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    set_number: Mapped[int | None]
    rejected: Mapped[str] = mapped_column(Text)
    shown: Mapped[str] = mapped_column(Text)
    reason: Mapped[str | None] = mapped_column(String(240))
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))


class DamageOrder(Numbered):
    """An order that came of a report, or, as a ``duplicate``, was there before the report came."""

    __tablename__ = "damage_order"
    __table_args__ = (
        UniqueConstraint("damage_report_id", "reorder_id"),
        Index("ix_damage_order_reorder_id", "reorder_id"),
    )

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    reorder_id: Mapped[int] = mapped_column(ForeignKey("reorder.id"))
    duplicate: Mapped[bool]
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))


class DamageEnd(Numbered):
    """A report that nothing comes of, and why."""

    __tablename__ = "damage_end"
    __table_args__ = (UniqueConstraint("damage_report_id"),)

    damage_report_id: Mapped[int] = mapped_column(ForeignKey("damage_report.id"))
    reason: Mapped[str] = mapped_column(String(240))
    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))
