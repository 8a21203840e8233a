"""Designs: cut files and their released revisions."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, LargeBinary, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base, Numbered


class CutFile(Numbered):
    """A design; its name is unique in the shop."""

    __tablename__ = "cut_file"
    __table_args__ = (UniqueConstraint("name"),)

    name: Mapped[str] = mapped_column(String(120))


class Revision(Numbered):
    """A released revision of a cut file. Its bytes never change; it can only be withdrawn."""

    __tablename__ = "revision"
    __table_args__ = (
        UniqueConstraint("cut_file_id", "letter"),
        UniqueConstraint("cut_file_id", "ordinal"),
        # What a segment's pair of cut file and revision refers to.
        UniqueConstraint("id", "cut_file_id"),
        CheckConstraint("size_bytes > 0", name="size_bytes"),
        CheckConstraint("area_mm2 > 0 AND width_mm > 0 AND height_mm > 0", name="extent"),
        CheckConstraint("ordinal >= 0", name="ordinal"),
        CheckConstraint("length(sha256) = 64", name="sha256"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_reason IS NULL)", name="withdrawn"),
    )

    cut_file_id: Mapped[int] = mapped_column(ForeignKey("cut_file.id"))
    letter: Mapped[str] = mapped_column(String(3))
    ordinal: Mapped[int]
    sha256: Mapped[str] = mapped_column(String(64))
    size_bytes: Mapped[int]
    note: Mapped[str] = mapped_column(Text)
    units: Mapped[str] = mapped_column(String(12))
    area_mm2: Mapped[float]
    width_mm: Mapped[float]
    height_mm: Mapped[float]
    drawing: Mapped[bytes] = mapped_column(LargeBinary)
    released_at: Mapped[str] = mapped_column(String(27))
    withdrawn_at: Mapped[str | None] = mapped_column(String(27))
    withdrawn_reason: Mapped[str | None] = mapped_column(String(240))


class RevisionChange(Base):
    """A joint or another interface that a release changed; a joint is named by the neighbour's number or place."""

    __tablename__ = "revision_change"
    __table_args__ = (CheckConstraint("kind IN ('joint', 'interface')", name="kind"),)

    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"), primary_key=True)
    kind: Mapped[str] = mapped_column(String(9), primary_key=True)
    name: Mapped[str] = mapped_column(String(48), primary_key=True)


class OutlineFigures(Base):
    """What a person with a tape finds on a part. It follows from the drawing and may be computed again."""

    __tablename__ = "outline_figures"
    __table_args__ = (
        CheckConstraint("length_mm > 0", name="length"),
        CheckConstraint("breadth_mm > 0 AND breadth_mm <= length_mm", name="breadth"),
        CheckConstraint("pockets >= 0 AND holes >= 0", name="counts"),
        CheckConstraint("(pocket_radius_mm IS NULL) = (pockets = 0)", name="pocket_radius"),
    )

    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"), primary_key=True, autoincrement=False)
    length_mm: Mapped[float]
    breadth_mm: Mapped[float]
    pockets: Mapped[int]
    pocket_radius_mm: Mapped[float | None]
    holes: Mapped[int]
