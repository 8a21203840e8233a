"""Legacy marks: old numbers, hand-written names and purchase-order lines under which people know a thing."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base, Numbered

SUBJECTS = ("plant_id", "line_id", "machine_id", "container_id", "kit_id", "segment_id")
"""The columns that say what an alias names; exactly one of them is filled."""


def _once(column: str) -> Index:
    """A thing is called the same once; again only after the word before was marked wrong."""
    filled = text(f"{column} IS NOT NULL")
    return Index(
        f"uq_alias_{column}_folded_said",
        column,
        "folded",
        "said",
        unique=True,
        sqlite_where=filled,
        postgresql_where=filled,
    )


class Alias(Numbered):
    """What somebody calls a thing: the text as written, and folded for the search.

    ``said`` counts from 1 how often the same was said of the same thing.
    """

    __tablename__ = "alias"
    __table_args__ = (
        CheckConstraint(
            " + ".join(f"CASE WHEN {column} IS NULL THEN 0 ELSE 1 END" for column in SUBJECTS) + " = 1",
            name="one_subject",
        ),
        CheckConstraint("length(text) > 0", name="text"),
        CheckConstraint("length(folded) > 0", name="folded"),
        CheckConstraint("said >= 1", name="said"),
        Index("ix_alias_folded", "folded"),
        *(_once(column) for column in SUBJECTS),
    )

    plant_id: Mapped[int | None] = mapped_column(ForeignKey("plant.id"))
    line_id: Mapped[int | None] = mapped_column(ForeignKey("line.id"))
    machine_id: Mapped[int | None] = mapped_column(ForeignKey("machine.id"))
    container_id: Mapped[int | None] = mapped_column(ForeignKey("container.id"))
    kit_id: Mapped[int | None] = mapped_column(ForeignKey("kit.id"))
    segment_id: Mapped[int | None] = mapped_column(ForeignKey("segment.id"))
    text: Mapped[str] = mapped_column(String(120))
    # One character may fold to several.
    folded: Mapped[str] = mapped_column(Text)
    said: Mapped[int]
    source: Mapped[str] = mapped_column(String(120))
    note: Mapped[str] = mapped_column(String(240))
    recorded_by: Mapped[str] = mapped_column(String(120))
    recorded_at: Mapped[str] = mapped_column(String(27))


class AliasWrong(Base):
    """An alias that was marked wrong: it stays on record and finds nothing any more."""

    __tablename__ = "alias_wrong"

    alias_id: Mapped[int] = mapped_column(ForeignKey("alias.id"), primary_key=True, autoincrement=False)
    reason: Mapped[str] = mapped_column(String(240))
    marked_by: Mapped[str] = mapped_column(String(120))
    marked_at: Mapped[str] = mapped_column(String(27))
