"""The shop desk's forms for what was mistyped: correct a fact, or give a place up."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.answers import SegmentAnswer
from schemas.faults import checked
from schemas.requests import CorrectionRequest
from service.errors import BadRequest, KitwrightError
from service.web.front import OWNER, Front, go
from service.web.shop import kit_page
from service.web.views import Form as FormView
from service.work.correct import correct_kit
from service.work.resolve import resolve_mark

_REPLACEMENT = re.compile(r"(?P<cut_file>.+\.dxf)(?:\s+(?:rev(?:ision)?\s+)?(?P<revision>\S+))?", re.IGNORECASE)
_LENGTHS = ("thickness_mm", "measured_thickness_mm")


def mending_routes(front: Front) -> APIRouter:
    """``/shop/kits/…/correct`` and ``/shop/kits/…/void``."""
    routes = front.routes()
    workshop = front.workshop

    def carry_out(kit: str, document: Mapping[str, object], version: str) -> None:
        asked = checked(CorrectionRequest, document)
        correct_kit(workshop, kit, asked, seen=frozenset({version}) if version else None, actor=OWNER)

    @routes.post("/shop/kits/{kit}/correct")
    def correct(
        request: Request,
        kit: str,
        number: Annotated[str, Form(max_length=512)],
        fact: Annotated[str, Form(alias="field", max_length=40)],
        value: Annotated[str, Form(max_length=255)] = "",
        reason: Annotated[str, Form()] = "",
        version: Annotated[str, Form(max_length=12)] = "",
    ) -> Response:
        front.inside(request)
        typed = {"number": number, "field": fact, "value": value, "reason": reason}
        try:
            item = {"number": number, "facts": {fact: _value(fact, value)}}
            carry_out(kit, {"reason": reason, "correct": [item]}, version)
        except KitwrightError as error:
            problem = front.problem(error)
            return kit_page(front, request, kit, FormView(typed, problem), status=problem.status)
        return go(f"/shop/kits/{kit}")

    @routes.post("/shop/kits/{kit}/void")
    def void(
        request: Request,
        kit: str,
        number: Annotated[str, Form(max_length=512)],
        reason: Annotated[str, Form()] = "",
        replacements: Annotated[str, Form(max_length=10_000)] = "",
        version: Annotated[str, Form(max_length=12)] = "",
    ) -> Response:
        front.inside(request)
        typed = {"void_number": number, "void_reason": reason, "replacements": replacements}
        try:
            facts = resolve_mark(workshop, number)
            item = {"number": number, "replacements": replacements_of(facts, replacements)}
            carry_out(kit, {"reason": reason, "void": [item]}, version)
        except KitwrightError as error:
            problem = front.problem(error)
            return kit_page(front, request, kit, FormView(typed, problem), status=problem.status)
        return go(f"/shop/kits/{kit}")

    return routes


def _value(fact: str, text: str) -> str | None:
    """What was typed, as the document takes it: a decimal comma is a point, an empty field takes the fact away."""
    plain = text.strip()
    if fact in _LENGTHS:
        plain = plain.replace(",", ".")
    if fact == "hand":
        plain = plain.upper()
    return plain or None


def replacements_of(facts: SegmentAnswer, text: str) -> list[dict[str, object]]:
    """The segments that take a place: a line each with the cut file and, if it is not the newest, the revision.

    In everything else they are as the segment that is given up.

    Raises:
        BadRequest: a line is no cut file.
    """
    deck = re.sub(r"\d", "", facts.place.partition("-")[2])
    found = []
    for count, line in enumerate((line for line in text.splitlines() if line.strip()), start=1):
        said = _REPLACEMENT.fullmatch(line.strip())
        if said is None:
            raise BadRequest(
                "this line names no cut file",
                field="replacements",
                value=line,
                todo="Write one cut file a line, such as osv4-fc1-a500-sw2-u5.dxf, and a revision after it if need be",
                place=f"line {count}",
            )
        found.append(
            {
                "deck": deck,
                **said.groupdict(),
                "material": facts.material,
                "thickness_mm": facts.thickness_mm,
                "quantity": facts.quantity,
                "hand": facts.hand,
                "stock_colour": facts.stock_colour,
            }
        )
    return found
