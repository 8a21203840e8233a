"""What a plant or a line was called, and since when."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class PlaceName(Numbered):
    """A name that a plant or a line took at a moment and bore until it took the next; rows are only ever added."""

    __tablename__ = "place_name"
    __table_args__ = (
        UniqueConstraint("plant_id", "since_at"),
        UniqueConstraint("line_id", "since_at"),
        CheckConstraint("(plant_id IS NULL) <> (line_id IS NULL)", name="one_place"),
        CheckConstraint("length(name) > 0", name="name"),
    )

    plant_id: Mapped[int | None] = mapped_column(ForeignKey("plant.id"))
    line_id: Mapped[int | None] = mapped_column(ForeignKey("line.id"))
    name: Mapped[str] = mapped_column(String(120))
    since_at: Mapped[str] = mapped_column(String(27))
