"""Calls about routers: which there are, and the program that one of them engraves and cuts a segment with."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers.routers import RouterListAnswer
from service.api.problems import RESPONSES
from service.api.requests import Mark, Override, actor_of, answers_file, attachment
from service.work.router_program import USUAL_ROUTER, list_routers, program_segment
from service.work.router_room import Zero
from service.work.workshop import Workshop

PROGRAM_MEDIA = "text/x-gcode"
"""No type is registered with IANA for programs of RS-274; this one is common practice, no source."""


def router_program_routes(workshop: Workshop) -> APIRouter:
    """Routers and their programs. Must be looked for before ``engraving.{form}``."""
    routes = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @routes.get("/routers", response_model=RouterListAnswer)
    def get_routers() -> RouterListAnswer:
        """The routers that the shop has, and the tools in their magazines."""
        return list_routers(workshop)

    @routes.get(
        "/segments/{number}/engraving.nc",
        response_class=Response,
        responses=answers_file("The program, in RS-274.", PROGRAM_MEDIA),
    )
    def engraving_program(
        number: Mark,
        request: Request,
        router: Annotated[
            str, Query(max_length=60, description="Name of the router.", examples=["metric"])
        ] = USUAL_ROUTER,
        tool: Annotated[
            int | None,
            Query(ge=0, le=9999, description="Tool that engraves; the first of the magazine that can unless said."),
        ] = None,
        *,
        profile: Annotated[
            bool, Query(description="Whether the revision's letter, the holes and the outside contour are cut as well.")
        ] = False,
        zero: Annotated[
            Zero,
            Query(description="Where X 0 Y 0 lies: the lower left corner of the part's box, or the cut file's origin."),
        ] = "corner",
        override: Override = None,
    ) -> Response:
        """The engraving of one segment as a program for a router, read back before it is handed out."""
        program = program_segment(
            workshop,
            number,
            router=router,
            tool=tool,
            profile=profile,
            zero=zero,
            override=override,
            actor=actor_of(request),
        )
        return attachment(program.data, PROGRAM_MEDIA, program.name)

    return routes
