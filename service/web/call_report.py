"""What a call leaves behind: a damage report with the mark as it was heard and every answer, made when it is needed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import get_args

from schemas.damage_report import (
    DamageReportAnswer,
    DamageReportRequest,
    EvidenceQuestion,
    EvidenceRequest,
)
from schemas.faults import checked
from service.web.call_state import Call, Told
from service.web.front import OWNER
from service.work.damage_reports import add_evidence, add_report, show_report
from service.work.workshop import Workshop

KEPT_QUESTIONS: frozenset[str] = frozenset(get_args(EvidenceQuestion))
"""What a report takes as an answer of the desk; which picture it is, the caller says by the link."""

NOTES = ("words", "caller", "telephone")
"""What the desk notes beside the answers."""

ONLY_CALLED = "Somebody called about a broken piece."
"""The words of a report of which nothing is known yet."""


def kept(workshop: Workshop, call: Call, notes: Mapping[str, str] | None = None) -> DamageReportAnswer:
    """The report of a call as it stands now: made when there is none, else with what was said since.

    Raises:
        ReportUnknown: the address names a report that was never written.
        ReportClosed: it was given up.
        BadFields: something in it is too long, or holds characters that nothing printed has.
    """
    noted = {name: text.strip() for name, text in (notes or {}).items() if name in NOTES and text.strip()}
    if call.report is None:
        evidence = [_item(told) for told in call.told if told.question in KEPT_QUESTIONS]
        first: dict[str, object] = {"evidence": evidence, **noted}
        if call.mark:
            first |= {"mark": call.mark, "came_by": call.came_by or None}
        if not (evidence or call.mark or "words" in noted):
            first["words"] = ONLY_CALLED
        return add_report(workshop, checked(DamageReportRequest, first), actor=OWNER)
    report = show_report(workshop, call.report)
    news = list(_news(call, report, noted))
    if not news:
        return report
    return add_evidence(workshop, report.id, checked(EvidenceRequest, {"evidence": news}), actor=OWNER)


def call_of(report: DamageReportAnswer) -> Call:
    """A call taken up again from its report: the mark as last given, and the last answer to each question."""
    call = Call(mark=report.mark or "", came_by=report.came_by or "", report=report.id)
    for said in report.evidence:
        if said.question in KEPT_QUESTIONS:
            call = call.with_told(Told(said.question, said.answer, said.tolerance_mm))
    return call


def _news(call: Call, report: DamageReportAnswer, noted: Mapping[str, str]) -> Iterator[dict[str, object]]:
    if call.mark and (call.mark, call.came_by or None) != (report.mark, report.came_by):
        yield {"question": "mark", "answer": call.mark, "came_by": call.came_by or None}
    known = {(told.question, told.answer, told.tolerance_mm) for told in call_of(report).told}
    for told in call.told:
        if told.question in KEPT_QUESTIONS and (told.question, told.answer, told.tolerance_mm) not in known:
            yield _item(told)
    before: Sequence[tuple[str, str]] = (
        ("words", report.words),
        ("caller", report.caller),
        ("telephone", report.telephone),
    )
    for name, text in before:
        if name in noted and noted[name] != text:
            yield {"question": name, "answer": noted[name]}


def _item(told: Told) -> dict[str, object]:
    # A tolerance of nothing is no tolerance; the schema wants one above zero.
    return {"question": told.question, "answer": told.answer, "tolerance_mm": told.tolerance_mm or None}
