"""A call: from half a mark and what the caller knows, question by question, to the one segment."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.faults import checked
from schemas.search import SearchAnswer, SearchRequest
from service.errors import BadRequest, KitwrightError
from service.web.call_kept_views import KeptView, LinkShown
from service.web.call_shown import call_view
from service.web.call_state import Call, Told
from service.web.call_views import CallView, Group
from service.web.call_words import CAME_BY
from service.web.front import Front, go
from service.web.pages import Who, page
from service.web.views import Form as FormView
from service.work.damage_reports import show_report
from service.work.read import read_mark
from service.work.search import search
from service.work.workshop import Workshop

MOST = 2**31 - 1
CANDIDATES = 8
"""As many as a screen shows; with more the caller has to be asked on."""

Text = Annotated[str, Query(max_length=512)]
Texts = Annotated[list[str] | None, Query(max_length=80)]


def call_routes(front: Front) -> APIRouter:
    """``/desk/call``."""
    routes = front.routes()

    @routes.get("/desk/call")
    def call_page(
        request: Request,
        *,
        mark: Text = "",
        came_by: Text = "",
        said: Texts = None,
        passed: Texts = None,
        ask: Text = "",
        report: Annotated[int | None, Query(ge=1, le=MOST)] = None,
        question: Text = "",
        told: Text = "",
        tolerance_mm: Text = "",
    ) -> Response:
        who = front.inside(request)
        call = Call.of(mark=mark, came_by=came_by, said=said or (), passed=passed or (), ask=ask, report=report)
        form = FormView()
        if question:
            try:
                return go(call.with_told(_typed(question, told, tolerance_mm)).address)
            except KitwrightError as error:
                call = call.asking(question)
                form = FormView({"told": told, "tolerance_mm": tolerance_mm}, front.problem(error))
        return call_answer(front, who, call, form=form)

    return routes


def call_answer(
    front: Front,
    who: Who,
    call: Call,
    *,
    form: FormView | None = None,
    notes: FormView | None = None,
    link: LinkShown | None = None,
) -> Response:
    """The page of a call.

    Args:
        front: the records, and the words of problems.
        who: who looks at it.
        call: where the call stands.
        form: an answer that was typed and came back with a problem.
        notes: the notes or a picture that came back with one.
        link: a link for the caller's telephone that was just made.
    """
    kept = KeptView(form=notes or FormView())
    if call.report is not None:
        report = show_report(front.workshop, call.report)
        kept = KeptView.of(call, report, sent=link.made.numbers if link else (), link=link, form=notes)
    view = searched(front, call, form)
    problem = view.form.problem or kept.form.problem
    return page(
        "call.html",
        who=who,
        desk="/desk",
        status=problem.status if problem else 200,
        view=view,
        kept=kept,
        came_by=CAME_BY,
    )


def _typed(question: str, told: str, tolerance_mm: str) -> Told:
    """An answer that was typed and not pressed.

    Raises:
        BadRequest: there is nothing in the field, or its tolerance is no length.
    """
    off = tolerance_mm.strip().replace(",", ".").removesuffix("mm").strip() if question.endswith("_mm") else ""
    typed = Told.of(f"{question}:{told.strip()}~{off}" if off else f"{question}:{told.strip()}")
    if typed is None:
        raise BadRequest(
            "nothing was typed" if not told.strip() else "this cannot be taken as an answer",
            field=question,
            value=told,
            todo="Type what the caller says, or press that the caller does not know",
        )
    if off and typed.tolerance_mm is None:
        raise BadRequest(
            "this is no length in mm", field="tolerance_mm", value=tolerance_mm, todo="Give a figure such as 5"
        )
    return typed


def searched(front: Front, call: Call, form: FormView | None = None) -> CallView:
    """What is found; a mark that cannot be read is said above its field, and the rest is searched by."""
    workshop = front.workshop
    form = form or FormView()
    # What cannot be searched by is left out, the mark first, then what was said beside it.
    ways = (call, replace(call, mark=""), Call(report=call.report))
    for way in ways[:-1]:
        try:
            answer = _search(workshop, way)
            break
        except KitwrightError as error:
            form = FormView(dict(form.values), form.problem or front.problem(error))
    else:
        answer = _search(workshop, ways[-1])
    return call_view(workshop, call, answer, groups=_groups(workshop, call, answer), form=form)


def _search(workshop: Workshop, call: Call) -> SearchAnswer:
    evidence = [
        {"question": told.question, "answer": told.answer, "tolerance_mm": told.tolerance_mm} for told in call.told
    ]
    evidence += [{"question": question, "answer": ""} for question in call.passed]
    asked = checked(
        SearchRequest,
        {"mark": call.mark or None, "came_by": call.came_by or None, "evidence": evidence, "limit": CANDIDATES},
    )
    return search(workshop, asked)


def _groups(workshop: Workshop, call: Call, answer: SearchAnswer) -> tuple[Group, ...]:
    """A well-formed number that was never issued, read out; nothing where anything issued agrees."""
    if not call.mark or answer.consistent:
        return ()
    try:
        said = read_mark(workshop, call.mark)
    except KitwrightError:
        return ()
    return tuple(Group(group.group, group.says) for group in said.groups) if said.outcome == "unknown" else ()
