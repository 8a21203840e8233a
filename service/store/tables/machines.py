"""What was measured at machines, which of them are the same where a part meets them, and kits that were looked at."""

from __future__ import annotations

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.tables.base import Base, Numbered


class MachineSurvey(Numbered):
    """A survey of a machine. Surveys are revisions: a later one adds to what is known and replaces nothing."""

    __tablename__ = "machine_survey"
    __table_args__ = (UniqueConstraint("machine_id", "ordinal"), CheckConstraint("ordinal >= 1", name="ordinal"))

    machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id"))
    ordinal: Mapped[int]
    surveyed_at: Mapped[str] = mapped_column(String(27))
    recorded_at: Mapped[str] = mapped_column(String(27))
    surveyed_by: Mapped[str] = mapped_column(String(120))
    note: Mapped[str] = mapped_column(Text)
    # Row ids are given in order by the one writer; two times in one second would not say which came first.
    newest_kit_id: Mapped[int]


class SurveyDimension(Base):
    """One thing that a survey states: a figure or a word, and how it was come by."""

    __tablename__ = "survey_dimension"
    __table_args__ = (
        CheckConstraint("(figure IS NULL) <> (word IS NULL)", name="figure_or_word"),
        CheckConstraint("grade IN ('measured', 'from_drawing', 'copied_from_part')", name="grade"),
    )

    survey_id: Mapped[int] = mapped_column(ForeignKey("machine_survey.id"), primary_key=True)
    name: Mapped[str] = mapped_column(String(40), primary_key=True)
    figure: Mapped[float | None]
    word: Mapped[str | None] = mapped_column(String(16))
    grade: Mapped[str] = mapped_column(String(16))


class SameInterface(Numbered):
    """Somebody's word that two machines are the same where one assembly meets them; it can be withdrawn."""

    __tablename__ = "same_interface"
    __table_args__ = (
        CheckConstraint("first_machine_id < second_machine_id", name="order"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_reason IS NULL)", name="withdrawn"),
        Index(
            "uq_same_interface_standing",
            "first_machine_id",
            "second_machine_id",
            "assembly",
            unique=True,
            sqlite_where=text("withdrawn_at IS NULL"),
            postgresql_where=text("withdrawn_at IS NULL"),
        ),
        Index("ix_same_interface_second_machine_id", "second_machine_id"),
    )

    first_machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id"))
    second_machine_id: Mapped[int] = mapped_column(ForeignKey("machine.id"))
    assembly: Mapped[str] = mapped_column(String(8))
    interface: Mapped[str] = mapped_column(String(120))
    note: Mapped[str] = mapped_column(Text)
    recorded_by: Mapped[str] = mapped_column(String(120))
    recorded_at: Mapped[str] = mapped_column(String(27))
    withdrawn_at: Mapped[str | None] = mapped_column(String(27))
    withdrawn_reason: Mapped[str | None] = mapped_column(String(240))


class ReuseCheck(Numbered):
    """Somebody held a kit against the surveys of its machine up to one, and found that it still fits."""

    __tablename__ = "reuse_check"
    __table_args__ = (Index("ix_reuse_check_kit_id", "kit_id"),)

    kit_id: Mapped[int] = mapped_column(ForeignKey("kit.id"))
    survey_id: Mapped[int] = mapped_column(ForeignKey("machine_survey.id"))
    checked_by: Mapped[str] = mapped_column(String(120))
    checked_at: Mapped[str] = mapped_column(String(27))
    note: Mapped[str] = mapped_column(Text)
