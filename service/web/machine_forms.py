"""The forms on the page of a machine: it was moved, it was surveyed, it is the same as another one somewhere."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.faults import checked
from schemas.machines import MoveRequest, ReuseCheckRequest, SameInterfaceRequest, SurveyRequest, WithdrawWordRequest
from service.errors import BadFields, BadRequest, KitwrightError
from service.web.front import OWNER, Front, go
from service.web.machines import STATED, machine_page
from service.web.views import Form as FormView
from service.work.check_kit import check_kit
from service.work.move import move_machine
from service.work.same_interface import record_same_interface, withdraw_same_interface
from service.work.survey import survey_machine

FIELD_WORDS: Mapping[str, str] = {
    **dict(STATED),
    "deck_heights_mm": "Height of the deck, mm",
    "surveyed_at": "Day of the survey",
}
Short = Annotated[str, Form(max_length=120)]
Note = Annotated[str, Form(max_length=2000)]


def machine_form_routes(front: Front) -> APIRouter:
    """What the page of a machine sends, and the check of a kit against its machine."""
    routes = front.routes()
    workshop = front.workshop

    def done(
        request: Request, designation: str, typed: Mapping[str, str], work: Callable[[], object], *, part: str
    ) -> Response:
        """Do what a form asks for; what cannot be comes back with what was typed."""
        front.inside(request)
        try:
            work()
        except KitwrightError as error:
            problem = front.problem(error)
            return machine_page(front, request, designation, FormView(typed, problem), part=part, status=problem.status)
        return go(f"/shop/machines/{designation}#{part}")

    @routes.post("/shop/kits/{kit}/reuse-check")
    def reuse_check(request: Request, kit: str) -> Response:
        front.inside(request)
        check_kit(workshop, kit, ReuseCheckRequest(), actor=OWNER)
        return go(f"/shop/kits/{kit}")

    @routes.post("/shop/machines/{designation}/move")
    def move(
        request: Request,
        designation: str,
        *,
        plant: Short = "",
        plant_name: Short = "",
        line: Short = "",
        nowhere: Annotated[str, Form(max_length=3)] = "",
        since: Annotated[str, Form(max_length=40)] = "",
        note: Note = "",
    ) -> Response:
        typed = {"plant": plant, "plant_name": plant_name, "line": line, "since": since, "note": note}

        def work() -> None:
            asked = _given(typed)
            if nowhere and "line" in asked:
                raise BadRequest(
                    "a machine that stands on no line stands on no line of this name either",
                    field="line",
                    value=line,
                    todo="Empty the line, or take the tick away",
                )
            document = {"line": None, "since": asked.get("since"), "note": note.strip()} if nowhere else asked
            move_machine(workshop, designation, checked(MoveRequest, document), actor=OWNER)

        return done(request, designation, {**typed, "nowhere": nowhere}, work, part="move")

    @routes.post("/shop/machines/{designation}/survey")
    async def survey(request: Request, designation: str) -> Response:
        front.inside(request)
        sent = await request.form(max_files=0, max_fields=60)
        typed = {name: value for name, value in sent.items() if isinstance(value, str)}

        def work() -> None:
            survey_machine(workshop, designation, _survey(typed), actor=OWNER)

        return done(request, designation, typed, work, part="survey")

    @routes.post("/shop/machines/{designation}/same")
    def same(
        request: Request,
        designation: str,
        *,
        other: Short = "",
        assemblies: Short = "",
        interface: Short = "",
        compared_by: Short = "",
    ) -> Response:
        typed = {"other": other, "assemblies": assemblies, "interface": interface, "compared_by": compared_by}

        def work() -> None:
            document = {
                "machines": [designation, other],
                "assemblies": assemblies.replace(",", " ").split(),
                "interface": interface,
                "by": compared_by.strip() or None,
            }
            record_same_interface(workshop, checked(SameInterfaceRequest, document), actor=OWNER)

        return done(request, designation, typed, work, part="same")

    @routes.post("/shop/machines/{designation}/same/{word_id}/withdrawal")
    def withdraw(
        request: Request, designation: str, word_id: int, reason: Annotated[str, Form(max_length=240)] = ""
    ) -> Response:
        def work() -> None:
            withdraw_same_interface(workshop, word_id, checked(WithdrawWordRequest, {"reason": reason}), actor=OWNER)

        return done(request, designation, {"reason": reason}, work, part="same")

    return routes


def _given(typed: Mapping[str, str]) -> dict[str, object]:
    """What was typed; an empty field says nothing."""
    return {name: value.strip() for name, value in typed.items() if value.strip()}


def _survey(typed: Mapping[str, str]) -> SurveyRequest:
    """The form as the document takes it: what was left empty is not stated, a decimal comma is a point.

    Raises:
        BadFields: fields are wrong, each under the words that stand over it in the form.
    """

    def graded(name: str) -> dict[str, str]:
        value = typed[name].strip()
        plain = value if name in ("rotation", "infeed_hand") else value.replace(",", ".")
        return {"value": plain, "grade": typed.get(f"{name}_grade", "measured")}

    given = _given(typed)
    document: dict[str, object] = {name: graded(name) for name, _words in STATED if name in given}
    for field, name in (("surveyed_at", "surveyed_at"), ("by", "by"), ("survey_note", "note")):
        if field in given:
            document[name] = given[field]
    if "deck_height" in given:
        document["deck_heights_mm"] = {typed.get("deck", "").strip().upper(): graded("deck_height")}
    try:
        return checked(SurveyRequest, document)
    except BadFields as error:
        raise BadFields(
            [
                replace(finding, field=FIELD_WORDS.get(finding.place.partition(".")[0], finding.field), place="")
                for finding in error.findings
            ]
        ) from error
