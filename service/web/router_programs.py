"""The program that a router engraves a segment with, from the page of the segment."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from service.errors import RouterUnknown
from service.web.front import OWNER, Front, download
from service.work.router_program import list_routers, program_segment
from service.work.router_room import Zero
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class EngravingTool:
    """A tool that a program can be asked for with: ``value`` as the form sends it, and in words."""

    value: str
    words: str


def engraving_tools(workshop: Workshop) -> Iterator[EngravingTool]:
    """Every engraving tool of every router."""
    for router in list_routers(workshop).routers:
        for tool in router.tools:
            if tool.use == "engrave":
                yield EngravingTool(f"{router.name}:{tool.number}", f"{router.title}: {tool.name}")


def router_program_routes(front: Front) -> APIRouter:
    """``/desk/segments/{number}/program``."""
    routes = front.routes()

    @routes.post("/desk/segments/{number}/program")
    def program(
        request: Request,
        number: str,
        tool: Annotated[str, Form(max_length=80)] = "",
        profile: Annotated[str, Form(max_length=10)] = "",
        zero: Annotated[Zero, Form()] = "corner",
        override: Annotated[str, Form(max_length=240)] = "",
    ) -> Response:
        front.inside(request)
        router, _, place = tool.partition(":")
        if not place.isdecimal():
            raise RouterUnknown(
                "no tool of a router is named", field="tool", value=tool, todo="Choose one on the segment's page"
            )
        made = program_segment(
            front.workshop,
            number,
            router=router,
            tool=int(place[:9]),
            profile=bool(profile),
            zero=zero,
            override=override,
            actor=OWNER,
        )
        return download(made.data, media_type="text/x-gcode", name=made.name)

    return routes
