"""The tables. UNIQUE and CHECK repeat the rules of the trade, so that no program error can break them.

Times are ISO 8601 text in UTC (``2026-03-09T08:15:00Z``), the same on every database. Row ids are given by the one
writer inside its transaction (see ``database.py``), so that a batch can be inserted with its references known. What
must never change or go is held by triggers, which the migrations write.
"""

from __future__ import annotations

from sqlalchemy import MetaData, Table
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """Where every table is registered."""

    metadata = MetaData(naming_convention=NAMING)


class Numbered(Base):
    """A table whose rows have an id given by the one writer."""

    __abstract__ = True

    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False, sort_order=-1)


def table_of(model: type[Base]) -> Table:
    """The Core table behind a declared one, for the inserts and updates that run without a session."""
    return Base.metadata.tables[model.__tablename__]
