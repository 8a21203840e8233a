"""Where things stand and what runs: shop, codes, customers, plants, lines, machines, containers."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Numbered


class Shop(Numbered):
    """The shop itself: one row."""

    __tablename__ = "shop"
    __table_args__ = (CheckConstraint("id = 1", name="one_row"),)

    name: Mapped[str] = mapped_column(String(120))
    address: Mapped[str] = mapped_column(String(240))
    telephone: Mapped[str] = mapped_column(String(40))
    street: Mapped[str] = mapped_column(String(120), server_default=text("''"))
    postal_code: Mapped[str] = mapped_column(String(20), server_default=text("''"))
    town: Mapped[str] = mapped_column(String(80), server_default=text("''"))
    country: Mapped[str] = mapped_column(String(2), server_default=text("''"))


class Code(Numbered):
    """A code that the shop added to one of its tables."""

    __tablename__ = "code"
    __table_args__ = (
        UniqueConstraint("kind", "code"),
        CheckConstraint("kind IN ('machine_class', 'assembly', 'deck')", name="kind"),
    )

    kind: Mapped[str] = mapped_column(String(16))
    code: Mapped[str] = mapped_column(String(4))
    name: Mapped[str] = mapped_column(String(60))


class Customer(Numbered):
    """Who owns plants."""

    __tablename__ = "customer"
    __table_args__ = (UniqueConstraint("name"),)

    name: Mapped[str] = mapped_column(String(120))


class Plant(Numbered):
    """A plant; its code is frozen for ever."""

    __tablename__ = "plant"
    __table_args__ = (UniqueConstraint("code"), CheckConstraint("length(code) IN (3, 4)", name="code_length"))

    code: Mapped[str] = mapped_column(String(4))
    name: Mapped[str] = mapped_column(String(120))
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"))


class Line(Numbered):
    """A line of a plant: an ordinal, and the name that people call it by."""

    __tablename__ = "line"
    __table_args__ = (UniqueConstraint("plant_id", "ordinal"), CheckConstraint("ordinal >= 1", name="ordinal"))

    plant_id: Mapped[int] = mapped_column(ForeignKey("plant.id"))
    ordinal: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))


class Machine(Numbered):
    """A machine under its birth designation; where it stands now says ``placement``."""

    __tablename__ = "machine"
    __table_args__ = (
        UniqueConstraint("born_line_id", "machine_class", "ordinal"),
        CheckConstraint("ordinal >= 1", name="ordinal"),
        CheckConstraint("rotation IS NULL OR rotation IN ('clockwise', 'anticlockwise')", name="rotation"),
    )

    born_line_id: Mapped[int] = mapped_column(ForeignKey("line.id"))
    machine_class: Mapped[str] = mapped_column(String(4))
    ordinal: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    rotation: Mapped[str | None] = mapped_column(String(16))


class Placement(Numbered):
    """From when to when a machine stands on a line; ``until_at`` is open while it does, at most once a machine."""

    __tablename__ = "placement"
    __table_args__ = (
        CheckConstraint("until_at IS NULL OR until_at >= since_at", name="order"),
        Index("ix_placement_machine_id", "machine_id"),
        Index("ix_placement_line_id", "line_id"),
        Index(
            "uq_placement_open",
            "machine_id",
            unique=True,
            sqlite_where=text("until_at IS NULL"),
            postgresql_where=text("until_at IS NULL"),
        ),
    )

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id"))
    line_id: Mapped[int | None] = mapped_column(ForeignKey("line.id"))
    since_at: Mapped[str] = mapped_column(String(27))
    until_at: Mapped[str | None] = mapped_column(String(27))


class Container(Numbered):
    """What a customer runs; the design letter tells two containers of one nominal size apart."""

    __tablename__ = "container"
    __table_args__ = (
        UniqueConstraint("customer_id", "design", "nominal_digits"),
        CheckConstraint("nominal_digits >= 1", name="nominal_digits"),
        CheckConstraint("min_body_mm IS NULL OR max_body_mm IS NULL OR min_body_mm <= max_body_mm", name="body"),
    )

    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"))
    design: Mapped[str] = mapped_column(String(2))
    nominal_digits: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    nominal: Mapped[str] = mapped_column(String(24))
    unit: Mapped[str] = mapped_column(String(12))
    shape: Mapped[str | None] = mapped_column(String(24))
    diameter_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    depth_mm: Mapped[float | None]
    min_body_mm: Mapped[float | None]
    max_body_mm: Mapped[float | None]
    height_mm: Mapped[float | None]
    neck_finish: Mapped[str | None] = mapped_column(String(40))
    drawing_issue: Mapped[str | None] = mapped_column(String(60))
