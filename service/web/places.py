"""Plants and lines under every name that they ever bore, and the form for a name that one of them took."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.answers.machines import PlaceNamesAnswer
from schemas.faults import checked
from schemas.machines import RenameRequest
from service.errors import KitwrightError
from service.web.front import OWNER, Front, go
from service.web.pages import page
from service.web.views import Form as FormView
from service.work import rename


@dataclass(frozen=True, slots=True)
class PlantPage:
    """A plant and its lines, with what the form had in it when it came back with a problem."""

    places: tuple[PlaceNamesAnswer, ...]
    form: FormView

    @property
    def plant(self) -> PlaceNamesAnswer:
        """The plant itself."""
        return self.places[0]

    @property
    def lines(self) -> tuple[PlaceNamesAnswer, ...]:
        """Its lines, by ordinal."""
        return self.places[1:]


def place_routes(front: Front) -> APIRouter:
    """``/shop/plants/…``."""
    routes = front.routes()
    workshop = front.workshop

    def shown(request: Request, code: str, form: FormView, *, status: int = 200) -> Response:
        view = PlantPage(rename.place_names_of(workshop, code), form)
        return page("plant.html", who=front.who(request), desk="/shop", status=status, view=view)

    @routes.get("/shop/plants/{code}")
    def plant(request: Request, code: str) -> Response:
        front.inside(request)
        return shown(request, code, FormView())

    @routes.post("/shop/plants/{code}/names")
    def name(
        request: Request,
        code: str,
        *,
        ordinal: Annotated[str, Form(max_length=3)] = "",
        name: Annotated[str, Form(max_length=120)] = "",
        since: Annotated[str, Form(max_length=40)] = "",
    ) -> Response:
        front.inside(request)
        typed = {"ordinal": ordinal, "name": name, "since": since}
        try:
            asked = checked(RenameRequest, {"name": name, "since": since.strip() or None})
            if ordinal.isdecimal():
                rename.rename_line(workshop, code, int(ordinal), asked, actor=OWNER)
            else:
                rename.rename_plant(workshop, code, asked, actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return shown(request, code, FormView(typed, problem), status=problem.status)
        return go(f"/shop/plants/{code}")

    return routes
