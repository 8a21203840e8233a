"""What was made of a design and what happened to it: pieces, keys, marks, reorders, the journal, remembered answers."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base, Numbered


class Piece(Numbered):
    """One lump of plastic made for a segment, or a count of like ones when they are not tracked one by one."""

    __tablename__ = "piece"
    __table_args__ = (
        UniqueConstraint("key"),
        CheckConstraint("count >= 1 AND (key IS NULL OR count = 1)", name="tracked"),
        CheckConstraint("set_number >= 1", name="set_number"),
        CheckConstraint("condition IN ('ordered', 'fitted', 'damaged', 'scrapped')", name="condition"),
        Index("ix_piece_segment_id", "segment_id"),
        Index("ix_piece_revision_id", "revision_id"),
    )

    key: Mapped[str | None] = mapped_column(String(8))
    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    set_number: Mapped[int]
    count: Mapped[int]
    revision_id: Mapped[int | None] = mapped_column(ForeignKey("revision.id"))
    made_at: Mapped[str | None] = mapped_column(String(27))
    material_batch: Mapped[str | None] = mapped_column(String(60))
    deviations: Mapped[str | None] = mapped_column(Text)
    condition: Mapped[str] = mapped_column(String(8))


class IssuedKey(Base):
    """Every key ever given, to a segment or a piece: one namespace, nothing given twice."""

    __tablename__ = "issued_key"
    __table_args__ = (CheckConstraint("length(key) = 8", name="key_length"),)

    key: Mapped[str] = mapped_column(String(8), primary_key=True)
    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))


class Mark(Numbered):
    """A mark that was rendered: intended before its bytes are made, made or failed after."""

    __tablename__ = "mark"
    __table_args__ = (
        CheckConstraint("kind IN ('nameplate', 'engraving')", name="kind"),
        CheckConstraint("state IN ('intended', 'made', 'failed')", name="state"),
        Index("ix_mark_segment_id", "segment_id"),
    )

    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    kind: Mapped[str] = mapped_column(String(9))
    form: Mapped[str] = mapped_column(String(60))
    text: Mapped[str] = mapped_column(String(120))
    state: Mapped[str] = mapped_column(String(8))
    made_at: Mapped[str] = mapped_column(String(27))
    verified_by: Mapped[str | None] = mapped_column(String(60))


class Reorder(Numbered):
    """A broken segment that is ordered again, with the decision which revision to cut."""

    __tablename__ = "reorder"
    __table_args__ = (
        CheckConstraint("quantity >= 1", name="quantity"),
        CheckConstraint(
            "outcome IN ('exact', 'exact_with_deviations', 'current_fits', 'current_needs_neighbours', 'no_record')",
            name="outcome",
        ),
        CheckConstraint("(outcome = 'no_record') = (revision_id IS NULL)", name="revision"),
        CheckConstraint("state IN ('open', 'fitted', 'cancelled')", name="state"),
        Index("ix_reorder_segment_id", "segment_id"),
    )

    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    damaged_piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    new_piece_id: Mapped[int | None] = mapped_column(ForeignKey("piece.id"))
    quantity: Mapped[int]
    reason: Mapped[str] = mapped_column(String(240))
    prefer: Mapped[str] = mapped_column(String(12))
    outcome: Mapped[str] = mapped_column(String(24))
    revision_id: Mapped[int | None] = mapped_column(ForeignKey("revision.id"))
    decision: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(9))
    ordered_at: Mapped[str] = mapped_column(String(27))


class Event(Numbered):
    """Append-only: who did what to which identity, when, and what stood before and after (JSON).

    Each row carries its own SHA-256 and that of the row before it (``store/chain.py``).
    """

    __tablename__ = "event"
    __table_args__ = (
        CheckConstraint("length(previous_sha256) = 64", name="previous_sha256_length"),
        CheckConstraint("length(sha256) = 64", name="sha256_length"),
        Index("ix_event_subject", "subject"),
    )

    at: Mapped[str] = mapped_column(String(27))
    actor: Mapped[str] = mapped_column(String(120))
    verb: Mapped[str] = mapped_column(String(24))
    subject: Mapped[str] = mapped_column(String(120))
    before: Mapped[str | None] = mapped_column(Text)
    after: Mapped[str | None] = mapped_column(Text)
    previous_sha256: Mapped[str] = mapped_column(String(64))
    sha256: Mapped[str] = mapped_column(String(64))


class Idempotency(Base):
    """The answer to a request that carried an Idempotency-Key, written in the transaction that did the work."""

    __tablename__ = "idempotency"

    key: Mapped[str] = mapped_column(String(255), primary_key=True)
    request: Mapped[str] = mapped_column(String(255), primary_key=True)
    payload_sha256: Mapped[str] = mapped_column(String(64))
    answer: Mapped[str] = mapped_column(Text)
    answered_at: Mapped[str] = mapped_column(String(27))
