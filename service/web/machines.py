"""Machines: which of them stood where on which day, and the page of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response

from schemas.answers import EventAnswer
from schemas.answers.machines import (
    DimensionAnswer,
    MachineListAnswer,
    MachineRecordAnswer,
    SameInterfaceListAnswer,
    StayAnswer,
)
from schemas.faults import checked
from schemas.manifest import Part
from schemas.moments import Moment
from schemas.text import Printable
from service.errors import KitwrightError
from service.rules.survey import Dimension, worded
from service.web.desk import event_line
from service.web.desk_views import EventLine
from service.web.front import Front
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Page, Sentence
from service.work.history import history
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
    """The page of a machine, with what one of its forms (``part``) had in it when it came back with a problem."""

    facts: MachineRecordAnswer
    findings: tuple[Sentence, ...]
    events: tuple[EventLine, ...]
    form: FormView
    part: str


def machine_routes(front: Front) -> APIRouter:
    """``/shop/machines`` and ``/shop/machines/…``."""
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

    return routes


class _Asked(Part):
    """Which machines are asked for."""

    plant: Printable | None = None
    line: Printable | None = None
    on: Moment | None = None
    after: Printable | None = None


def machine_page(
    front: Front, request: Request, designation: str, form: FormView, *, part: str = "", status: int = 200
) -> Response:
    """The page of a machine.

    Args:
        front: who may look, and the workshop.
        request: what was asked.
        designation: of the machine.
        form: what a form had in it when it came back with a problem.
        part: which form that was: ``move``, ``survey`` or ``same``.
        status: of the answer.
    """
    facts = show_machine(front.workshop, designation)
    events = history(front.workshop, facts.designation).events
    card = MachineCard(
        facts=facts,
        findings=tuple(replace(Sentence.of_answer(finding), place="") for finding in facts.findings),
        events=tuple(machine_event(event) for event in events),
        form=form,
        part=part,
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
        value_words=value_words,
        worded=worded,
    )


def machine_event(event: EventAnswer) -> EventLine:
    """An entry of a machine's journal in words: where it went, who surveyed it, what was said of it and another."""
    line, after = event_line(event), event.after if isinstance(event.after, dict) else {}
    if event.verb == "move":
        stays = [StayAnswer.model_validate(stay) for stay in after.get("placements", ())]
        went = next((stay for stay in stays if stay.since == after.get("since")), None)
        note = f" ({after['note']})" if after.get("note") else ""
        where = f"moved to {stay_words(went)}," if went and went.place else "taken off its line"
        return replace(line, words=f"{where} on {str(after.get('since'))[:10]}{note}")
    if event.verb == "survey":
        return replace(line, words=f"surveyed by {after.get('by')}, revision {after.get('revision')}")
    said = SameInterfaceListAnswer.model_validate(after) if event.verb == "same interface" else None
    if said is not None:
        assemblies = ", ".join(word.assembly for word in said.same_interfaces)
        (other,) = {name for name in said.same_interfaces[0].machines if name != event.subject}
        return replace(line, words=f"recorded as the same as {other} at {assemblies}")
    if event.verb == "withdraw":
        reason = after.get("withdrawn_reason")
        return replace(line, words=f"not the same as another machine at {after.get('assembly')} any more ({reason})")
    return line


def stay_words(stay: StayAnswer | None) -> str:
    """Where a stay is, in words."""
    if stay is None or stay.place is None:
        return "on no line"
    return f"{stay.place.line}, {stay.place.plant}"


def value_words(dimension: DimensionAnswer) -> str:
    """What a survey states of a dimension, and how it was come by: "104.72 mm, measured"."""
    return f"{Dimension(dimension.name, dimension.value, dimension.grade).shown}, {GRADES[dimension.grade]}"
