"""Kits: assemblies, segments and the joints between them."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base, Numbered


class Kit(Numbered):
    """One machine and one primary container."""

    __tablename__ = "kit"
    __table_args__ = (
        UniqueConstraint("number"),
        UniqueConstraint("machine_id", "container_id"),
        CheckConstraint("status IN ('issued', 'retired')", name="status"),
        CheckConstraint("version >= 1", name="version"),
    )

    number: Mapped[str] = mapped_column(String(32))
    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id"))
    container_id: Mapped[int] = mapped_column(ForeignKey("container.id"))
    stock_colour: Mapped[str] = mapped_column(String(24))
    status: Mapped[str] = mapped_column(String(12))
    issued_at: Mapped[str] = mapped_column(String(27))
    version: Mapped[int]


class KitContainer(Base):
    """A further container that a kit serves besides its primary one."""

    __tablename__ = "kit_container"

    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"), primary_key=True)
    container_id: Mapped[int] = mapped_column(ForeignKey("container.id"), primary_key=True)


class Assembly(Numbered):
    """An assembly of a kit, for example star wheel 2."""

    __tablename__ = "assembly"
    __table_args__ = (
        UniqueConstraint("kit_id", "code", "ordinal"),
        # What a segment's pair of assembly and kit refers to.
        UniqueConstraint("id", "kit_id"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
    )

    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"))
    code: Mapped[str] = mapped_column(String(4))
    ordinal: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    position: Mapped[int]


class Segment(Numbered):
    """A position in an assembly and the smallest thing that can be ordered. Its number is never changed or deleted.

    The pairs of references keep a segment's assembly inside its kit and its revision inside its cut file.
    """

    __tablename__ = "segment"
    __table_args__ = (
        UniqueConstraint("number"),
        UniqueConstraint("key"),
        UniqueConstraint("assembly_id", "deck", "ordinal"),
        ForeignKeyConstraint(["assembly_id", "kit_id"], ["assembly.id", "assembly.kit_id"]),
        ForeignKeyConstraint(["revision_id", "cut_file_id"], ["revision.id", "revision.cut_file_id"]),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint("quantity >= 1", name="quantity"),
        CheckConstraint("length(key) = 8", name="key_length"),
        CheckConstraint("hand IS NULL OR hand IN ('LEFT', 'RIGHT')", name="hand"),
        CheckConstraint("thickness_mm > 0", name="thickness"),
        CheckConstraint("mass_kg >= 0", name="mass"),
        CheckConstraint("measured_thickness_mm IS NULL OR measured_thickness_mm > 0", name="measured_thickness"),
        CheckConstraint("status IN ('active', 'voided')", name="status"),
        CheckConstraint("(status = 'voided') = (void_reason IS NOT NULL)", name="void_reason"),
        Index("ix_segment_kit_id", "kit_id"),
        Index("ix_segment_cut_file_id", "cut_file_id"),
    )

    number: Mapped[str] = mapped_column(String(48))
    key: Mapped[str] = mapped_column(String(8))
    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"))
    assembly_id: Mapped[int]
    deck: Mapped[str] = mapped_column(String(2))
    ordinal: Mapped[int]
    quantity: Mapped[int]
    hand: Mapped[str | None] = mapped_column(String(5))
    material: Mapped[str] = mapped_column(String(40))
    stock_colour: Mapped[str] = mapped_column(String(24))
    thickness_mm: Mapped[float]
    measured_thickness_mm: Mapped[float | None]
    mass_kg: Mapped[float]
    marked_face: Mapped[str | None] = mapped_column(String(40))
    cut_file_id: Mapped[int]
    revision_id: Mapped[int]
    status: Mapped[str] = mapped_column(String(8))
    void_reason: Mapped[str | None] = mapped_column(String(240))


class SharedSegment(Base):
    """A segment that serves a further kit besides the one that numbered it."""

    __tablename__ = "shared_segment"
    __table_args__ = (Index("ix_shared_segment_segment_id", "segment_id"),)

    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"), primary_key=True)
    segment_id: Mapped[int] = mapped_column(ForeignKey("segment.id"), primary_key=True)


class Joint(Numbered):
    """The interlocking edge between two segments, the one with the lower id first."""

    __tablename__ = "joint"
    __table_args__ = (
        UniqueConstraint("first_id", "second_id"),
        CheckConstraint("first_id < second_id", name="order"),
        CheckConstraint("clearance_mm IS NULL OR clearance_mm >= 0", name="clearance"),
        Index("ix_joint_second_id", "second_id"),
    )

    first_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    second_id: Mapped[int] = mapped_column(ForeignKey("segment.id"))
    form: Mapped[str | None] = mapped_column(String(40))
    clearance_mm: Mapped[float | None]
    inferred: Mapped[bool]
