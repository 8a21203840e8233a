"""What is kept of a call: notes, photographs, the link for the caller's telephone, and the segment that was chosen."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Depends, File, Form, Query, Request, Response, UploadFile

from schemas.damage_report import ChoiceRequest, LinkRequest
from schemas.faults import checked
from service.errors import BadRequest, KitwrightError
from service.web.call import call_answer
from service.web.call_form import MOST, Field, carried_call, noted
from service.web.call_kept_views import KeptView, LinkShown
from service.web.call_report import kept
from service.web.call_state import Call
from service.web.front import OWNER, Front, go
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Picture
from service.work.damage_choice import choose
from service.work.damage_reports import show_report
from service.work.link_code import link_code
from service.work.once import Retry
from service.work.report_link import make_link
from service.work.report_photo import MOST_BYTES, add_photo

MOST_PICTURES = 4
"""As many pictures as a caller compares on a telephone."""

Carried = Annotated[Call, Depends(carried_call)]
Noted = Annotated[dict[str, str], Depends(noted)]
Numbers = Annotated[list[str] | None, Form(max_length=50)]
Text = Annotated[str, Query(max_length=512)]


def call_kept_routes(front: Front) -> APIRouter:
    """What is sent from ``/desk/call``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.post("/desk/call/note")
    def note(request: Request, call: Carried, words: Field = "", caller: Field = "", telephone: Field = "") -> Response:
        who = front.inside(request)
        notes = {"words": words, "caller": caller, "telephone": telephone}
        try:
            report = kept(workshop, call, notes)
        except KitwrightError as error:
            return call_answer(front, who, call, notes=FormView(notes, front.problem(error)))
        return go(call.reported(report.id).address)

    @routes.post("/desk/call/send")
    def send(request: Request, call: Carried, notes: Noted, numbers: Numbers = None) -> Response:
        who = front.inside(request)
        try:
            asked = checked(LinkRequest, {"numbers": (numbers or [])[:MOST_PICTURES]})
            report = kept(workshop, call, notes)
            # Sent twice it is two links: a link that could be told again would have to be kept.
            made = make_link(workshop, report.id, asked, actor=OWNER)
        except KitwrightError as error:
            return call_answer(front, who, call, notes=FormView(notes, front.problem(error)))
        link = LinkShown(made, Picture.inline(link_code(made.url)))
        return call_answer(front, who, call.reported(report.id), link=link)

    @routes.get("/desk/call/caller")
    def caller_says(
        request: Request,
        *,
        mark: Text = "",
        came_by: Text = "",
        said: Annotated[list[str] | None, Query(max_length=80)] = None,
        passed: Annotated[list[str] | None, Query(max_length=80)] = None,
        report: Annotated[int, Query(ge=1, le=MOST)],
        sent: Annotated[list[str] | None, Query(max_length=MOST_PICTURES)] = None,
    ) -> Response:
        who = front.inside(request)
        call = Call.of(mark=mark, came_by=came_by, said=said or (), passed=passed or (), ask="", report=report)
        view = KeptView.of(call, show_report(workshop, report), sent=sent or ())
        return page("call_caller.html", who=who, view=view)

    @routes.post("/desk/call/photo")
    def photo(
        request: Request, call: Carried, file: Annotated[UploadFile | None, File()] = None, typed: Field = ""
    ) -> Response:
        who = front.inside(request)
        try:
            if file is None or not file.filename:
                raise BadRequest(
                    "no photograph was chosen", field="file", value=None, todo="Take, choose, drop or paste one"
                )
            # Should the photograph be refused, the next one goes to the same report.
            call = call.reported(kept(workshop, call).id)
            assert call.report is not None
            add_photo(workshop, call.report, file.file.read(MOST_BYTES + 1), typed=typed, actor=OWNER)
        except KitwrightError as error:
            return call_answer(front, who, call, notes=FormView({}, front.problem(error)))
        return go(call.address + "#photos")

    @routes.post("/desk/call/choice")
    def choice(
        request: Request,
        call: Carried,
        notes: Noted,
        number: Field = "",
        offered: Numbers = None,
        retry_key: Field = "",
    ) -> Response:
        who = front.inside(request)
        shown = [_offered(text) for text in offered or ()]
        try:
            asked = checked(
                ChoiceRequest,
                {
                    "mark": number,
                    "shown": shown,
                    "rejected": [one["number"] for one in shown if one["number"] != number],
                },
            )
            report = kept(workshop, call, notes)
            # Another one chosen on the same page, after going back to it, is another choice.
            once = f"{retry_key} {number}" if retry_key else ""
            retry = Retry.of(once, "POST /desk/call/choice", f"{report.id} {number}".encode())
            chosen = choose(workshop, report.id, asked, actor=OWNER, retry=retry)
        except KitwrightError as error:
            return call_answer(front, who, call, notes=FormView(notes, front.problem(error)))
        assert chosen.number is not None
        return go(f"/desk/segments/{quote(chosen.number)}/locking?{urlencode({'report': report.id})}")

    return routes


def _offered(text: str) -> dict[str, object]:
    """A candidate as the form carries it: its number, and how sure the search was."""
    number, _, share = text.partition("=")
    try:
        return {"number": number, "probability": float(share)}
    except ValueError:
        return {"number": number}
