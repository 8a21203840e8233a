"""Machines: which of them stood where, the page of one, and the forms that move and survey it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Form, Query, Request, Response

from schemas.answers.machines import DimensionAnswer, MachineListAnswer, MachineRecordAnswer, StayAnswer
from schemas.faults import checked
from schemas.machines import MoveRequest, ReuseCheckRequest, SurveyRequest
from schemas.manifest import Part
from schemas.moments import Moment
from schemas.text import Printable
from service.errors import KitwrightError
from service.rules.survey import Dimension, worded
from service.web.desk import event_line
from service.web.desk_views import EventLine
from service.web.front import OWNER, Front, go
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Page, Sentence
from service.work.check_kit import check_kit
from service.work.history import history
from service.work.move import move_machine
from service.work.survey import survey_machine
from service.work.where import list_machines, show_machine

PAGE_SIZE = 50
GRADES: Mapping[str, str] = {
    "measured": "measured",
    "from_drawing": "from drawing",
    "copied_from_part": "copied from a part",
}
STATED = (
    ("rotation", "Rotation, seen from above"),
    ("infeed_hand", "Infeed hand, looking downstream"),
    ("pitch_mm", "Pitch along the pitch circle, mm"),
    ("pocket_count", "Pockets"),
    ("pitch_diameter_mm", "Pitch diameter, mm"),
)
"""What the survey form asks for besides deck heights, and its words."""


@dataclass(frozen=True, slots=True)
class MachineList:
    """Machines of a place at a moment, and the question that was asked."""

    found: MachineListAnswer | None
    form: FormView
    page: Page


@dataclass(frozen=True, slots=True)
class MachineCard:
    """The page of a machine, with what a form had in it when it came back with a problem."""

    facts: MachineRecordAnswer
    findings: tuple[Sentence, ...]
    events: tuple[EventLine, ...]
    form: FormView


def machine_routes(front: Front) -> APIRouter:
    """``/shop/machines``, ``/shop/machines/…`` and the check of a kit against its machine."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/shop/machines")
    def machines(
        request: Request,
        plant: Annotated[str, Query(max_length=120)] = "",
        line: Annotated[str, Query(max_length=120)] = "",
        on: Annotated[str, Query(max_length=40)] = "",
        after: Annotated[str, Query(max_length=24)] = "",
    ) -> Response:
        who = front.inside(request)
        asked = {"plant": plant, "line": line, "on": on}
        given = {name: value.strip() for name, value in asked.items() if value.strip()}
        try:
            question = checked(_Asked, {**given, "after": after or None})
            found = list_machines(workshop, **question.model_dump(), limit=PAGE_SIZE + 1)
        except KitwrightError as error:
            problem = front.problem(error)
            view = MachineList(None, FormView(asked, problem), Page())
            return page("machines.html", who=who, desk="/shop", status=problem.status, view=view)
        shown = found.machines[:PAGE_SIZE]
        more = len(found.machines) > PAGE_SIZE
        view = MachineList(
            found.model_copy(update={"machines": shown}),
            FormView(asked),
            Page(
                next_url=f"/shop/machines?{urlencode({**given, 'after': shown[-1].designation})}" if more else None,
                first_url=f"/shop/machines?{urlencode(given)}" if after else None,
            ),
        )
        return page("machines.html", who=who, desk="/shop", view=view)

    @routes.get("/shop/machines/{designation}")
    def machine(request: Request, designation: str) -> Response:
        front.inside(request)
        return machine_page(front, request, designation, FormView())

    @routes.post("/shop/kits/{kit}/reuse-check")
    def reuse_check(request: Request, kit: str) -> Response:
        front.inside(request)
        check_kit(workshop, kit, ReuseCheckRequest(), actor=OWNER)
        return go(f"/shop/kits/{kit}")

    @routes.post("/shop/machines/{designation}/move")
    def move(
        request: Request,
        designation: str,
        plant: Annotated[str, Form(max_length=120)] = "",
        line: Annotated[str, Form(max_length=120)] = "",
        since: Annotated[str, Form(max_length=40)] = "",
        note: Annotated[str, Form(max_length=2000)] = "",
    ) -> Response:
        front.inside(request)
        typed = {"plant": plant, "line": line, "since": since, "note": note}
        try:
            asked = {name: value.strip() for name, value in typed.items() if value.strip()}
            move_machine(workshop, designation, checked(MoveRequest, {"line": None, **asked}), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return machine_page(front, request, designation, FormView(typed, problem), status=problem.status)
        return go(f"/shop/machines/{designation}")

    @routes.post("/shop/machines/{designation}/survey")
    async def survey(request: Request, designation: str) -> Response:
        front.inside(request)
        sent = await request.form(max_files=0, max_fields=60)
        typed = {name: value for name, value in sent.items() if isinstance(value, str)}
        try:
            survey_machine(workshop, designation, checked(SurveyRequest, _survey(typed)), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return machine_page(front, request, designation, FormView(typed, problem), status=problem.status)
        return go(f"/shop/machines/{designation}")

    return routes


class _Asked(Part):
    """Which machines are asked for."""

    plant: Printable | None = None
    line: Printable | None = None
    on: Moment | None = None
    after: Printable | None = None


def machine_page(front: Front, request: Request, designation: str, form: FormView, *, status: int = 200) -> Response:
    """The page of a machine."""
    facts = show_machine(front.workshop, designation)
    events = history(front.workshop, facts.designation).events
    card = MachineCard(
        facts=facts,
        findings=tuple(Sentence.of_answer(finding) for finding in facts.findings),
        events=tuple(event_line(event) for event in events),
        form=form,
    )
    return page(
        "machine.html",
        who=front.who(request),
        desk="/shop",
        status=status,
        view=card,
        stated=STATED,
        grades=GRADES,
        stay_words=stay_words,
        dimension_words=dimension_words,
    )


def stay_words(stay: StayAnswer | None) -> str:
    """Where a stay is, in words."""
    if stay is None or stay.place is None:
        return "on no line"
    return f"{stay.place.line}, {stay.place.plant}"


def dimension_words(dimension: DimensionAnswer) -> str:
    """What a survey states, in words: "pitch 104.72 mm, measured"."""
    said = Dimension(dimension.name, dimension.value, dimension.grade)
    return f"{worded(said.name)} {said.shown}, {GRADES[said.grade]}"


def _survey(typed: Mapping[str, str]) -> dict[str, object]:
    """The form as the document takes it: what was left empty is not stated, a decimal comma is a point."""

    def graded(name: str) -> dict[str, str]:
        value = typed[name].strip()
        plain = value if name in ("rotation", "infeed_hand") else value.replace(",", ".")
        return {"value": plain, "grade": typed.get(f"{name}_grade", "measured")}

    names = [name for name, _words in STATED if typed.get(name, "").strip()]
    document: dict[str, object] = {name: graded(name) for name in names}
    for name in ("surveyed_at", "by", "note"):
        if typed.get(name, "").strip():
            document[name] = typed[name].strip()
    deck = typed.get("deck", "").strip().upper()
    if typed.get("deck_height", "").strip():
        document["deck_heights_mm"] = {deck: graded("deck_height")}
    return document
