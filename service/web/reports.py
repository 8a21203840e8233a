"""Damage reports: what was said, shown and decided, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Path, Query, Request, Response

from schemas.damage_report import DamageReportAnswer, DamageReportSummaryAnswer, DuplicateRequest, GiveUpRequest
from schemas.faults import checked
from service.errors import KitwrightError
from service.web.call_kept_views import KeptView
from service.web.call_report import call_of
from service.web.call_state import Call, Told
from service.web.call_words import CAME_BY, sure_words, told_words
from service.web.front import OWNER, Front, go
from service.web.order_words import state_name
from service.web.pages import Who, page
from service.web.views import Form as FormView
from service.web.views import Number, Page
from service.work.damage_reports import give_up_report, list_reports, mark_duplicate, show_report

PAGE_SIZE = 50
MOST = 2**31 - 1

ReportId = Annotated[int, Path(ge=1, le=MOST)]

_CORRECTED = {"mark": "Mark", "words": "What happened", "caller": "Who called", "telephone": "Telephone"}


@dataclass(frozen=True, slots=True)
class SaidLine:
    """Something that was said, in words."""

    words: str
    by: str
    at: str


@dataclass(frozen=True, slots=True)
class ReportCard:
    """A damage report as a page shows it.

    Attributes:
        call: the call taken up again.
        said: every answer, oldest first.
        open: whether something can still be decided.
        number: the segment that was chosen.
        ruled_out: numbers that were ruled out with that.
    """

    facts: DamageReportAnswer
    state: str
    call: Call
    said: tuple[SaidLine, ...]
    open: bool
    number: Number | None
    ruled_out: tuple[tuple[Number, str], ...]
    kept: KeptView

    @property
    def came_by(self) -> str:
        """How the mark came in, in words."""
        return CAME_BY.get(self.facts.came_by or "", "")


@dataclass(frozen=True, slots=True)
class ReportLine:
    """A damage report in the list."""

    facts: DamageReportSummaryAnswer
    state: str
    number: Number | None


@dataclass(frozen=True, slots=True)
class ReportList:
    """A part of the list, the newest first."""

    reports: tuple[ReportLine, ...]
    page: Page


def report_routes(front: Front) -> APIRouter:
    """``/desk/reports`` and what lies under it."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/desk/reports")
    def reports(request: Request, after: Annotated[int | None, Query(ge=0, le=MOST)] = None) -> Response:
        who = front.inside(request)
        rows = list_reports(workshop, after=after, limit=PAGE_SIZE + 1)
        shown = rows[:PAGE_SIZE]
        view = ReportList(
            tuple(ReportLine(row, state_name(row.state), Number(row.number) if row.number else None) for row in shown),
            Page(
                next_url=f"/desk/reports?after={shown[-1].id}" if len(rows) > PAGE_SIZE else None,
                first_url="/desk/reports" if after is not None else None,
            ),
        )
        return page("reports.html", who=who, desk="/desk", view=view)

    @routes.get("/desk/reports/{report_id}")
    def report(request: Request, report_id: ReportId) -> Response:
        return _report_page(front, front.inside(request), report_id, FormView())

    @routes.post("/desk/reports/{report_id}/duplicate")
    def duplicate(request: Request, report_id: ReportId, order: Annotated[str, Form(max_length=12)] = "") -> Response:
        who = front.inside(request)
        try:
            mark_duplicate(workshop, report_id, checked(DuplicateRequest, {"order": order}), actor=OWNER)
        except KitwrightError as error:
            return _report_page(front, who, report_id, FormView({"order": order}, front.problem(error)))
        return go(f"/desk/reports/{report_id}")

    @routes.post("/desk/reports/{report_id}/given-up")
    def given_up(request: Request, report_id: ReportId, reason: Annotated[str, Form(max_length=512)] = "") -> Response:
        who = front.inside(request)
        try:
            give_up_report(workshop, report_id, checked(GiveUpRequest, {"reason": reason}), actor=OWNER)
        except KitwrightError as error:
            return _report_page(front, who, report_id, FormView({"reason": reason}, front.problem(error)))
        return go(f"/desk/reports/{report_id}")

    return routes


def _report_page(front: Front, who: Who, report_id: int, form: FormView) -> Response:
    facts = show_report(front.workshop, report_id)
    call = call_of(facts)
    choice = facts.choice
    shares = {one.number: one.probability for one in choice.shown} if choice else {}
    view = ReportCard(
        facts=facts,
        state=state_name(facts.state),
        call=call,
        said=tuple(
            SaidLine(
                f"{_CORRECTED[said.question]}: {said.answer}"
                if said.question in _CORRECTED
                else told_words(Told(said.question, said.answer, said.tolerance_mm)),
                "the caller, by the link" if said.given_by == "caller" else said.by,
                said.at,
            )
            for said in facts.evidence
        ),
        open=facts.cancel_reason is None and facts.order is None,
        number=Number(choice.number) if choice else None,
        ruled_out=tuple((Number(number), _sure(shares.get(number))) for number in choice.rejected) if choice else (),
        kept=KeptView.of(call, facts),
    )
    status = form.problem.status if form.problem else 200
    return page("report.html", who=who, desk="/desk", status=status, view=view, form=form)


def _sure(share: float | None) -> str:
    return "" if share is None else sure_words(share)
