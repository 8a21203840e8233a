"""Forms about sets and pieces: a further set, shared parts, the end of a kit; pieces tracked, reworked and scrapped."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.faults import checked
from schemas.pieces import (
    DeviationRequest,
    RetirementRequest,
    ScrapCountRequest,
    ScrapRequest,
    SetRequest,
    ShareRequest,
    TrackRequest,
    UnshareRequest,
)
from service.errors import BadRequest, KitwrightError
from service.web.front import OWNER, Front, go
from service.web.shop import kit_page
from service.web.views import Form as FormView
from service.work.make_set import make_set
from service.work.once import Retry
from service.work.retire import retire_kit
from service.work.scrap import record_deviation, scrap_counted, scrap_piece
from service.work.share import share_segment, unshare_segment
from service.work.track_pieces import track_pieces

MarkText = Annotated[str, Form(max_length=512)]
Words = Annotated[str, Form(max_length=2000)]


def piece_routes(front: Front) -> APIRouter:
    """What lies under ``/shop/kits/…`` and ``/desk/segments/…`` about sets and pieces."""
    routes = front.routes()
    workshop = front.workshop

    @routes.post("/shop/kits/{kit}/sets")
    def further_set(
        request: Request,
        kit: str,
        *,
        revisions: Annotated[str, Form(max_length=20_000)] = "",
        material_batch: Words = "",
        made_at: Words = "",
        override: Words = "",
        retry_key: Annotated[str, Form(max_length=200)] = "",
    ) -> Response:
        front.inside(request)
        typed = {"revisions": revisions, "material_batch": material_batch, "made_at": made_at}
        try:
            values = {
                "revisions": revisions_of(revisions),
                "material_batch": material_batch.strip() or None,
                "made_at": made_at.strip() or None,
                "override": override.strip() or None,
            }
            asked = checked(SetRequest, values)
            retry = Retry.of(retry_key, f"POST /shop/kits/{kit}/sets", asked.model_dump_json().encode())
            make_set(workshop, kit, asked, actor=OWNER, retry=retry)
        except KitwrightError as error:
            problem = front.problem(error)
            return kit_page(front, request, kit, FormView(typed, problem), status=problem.status)
        return go(f"/shop/kits/{kit}#sets")

    @routes.post("/shop/kits/{kit}/shared")
    def shared(request: Request, kit: str, number: MarkText) -> Response:
        front.inside(request)
        try:
            share_segment(workshop, kit, checked(ShareRequest, {"number": number}), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return kit_page(front, request, kit, FormView({"share_number": number}, problem), status=problem.status)
        return go(f"/shop/kits/{kit}#sharing")

    @routes.post("/shop/kits/{kit}/unshared")
    def unshared(request: Request, kit: str, number: MarkText, reason: Words = "") -> Response:
        front.inside(request)
        unshare_segment(workshop, kit, checked(UnshareRequest, {"number": number, "reason": reason}), actor=OWNER)
        return go(f"/shop/kits/{kit}#sharing")

    @routes.post("/shop/kits/{kit}/retirement")
    def retirement(request: Request, kit: str, reason: Words = "") -> Response:
        front.inside(request)
        retire_kit(workshop, kit, checked(RetirementRequest, {"reason": reason}), actor=OWNER)
        return go(f"/shop/kits/{kit}")

    @routes.post("/desk/segments/{number}/pieces")
    def tracked(
        request: Request,
        number: str,
        track: Annotated[str, Form(max_length=12)] = "",
        set_number: Annotated[str, Form(alias="set", max_length=12)] = "",
    ) -> Response:
        front.inside(request)
        asked = checked(TrackRequest, {"track": track, "set": set_number or None})
        track_pieces(workshop, number, asked, actor=OWNER)
        return go(f"/desk/segments/{number}#pieces")

    @routes.post("/desk/segments/{number}/scrapped")
    def scrapped(
        request: Request,
        number: str,
        piece: Annotated[str, Form(max_length=40)],
        kind: Annotated[str, Form(max_length=20)] = "",
        note: Words = "",
        count: Annotated[str, Form(max_length=12)] = "1",
    ) -> Response:
        front.inside(request)
        said = {"kind": kind, "note": note}
        if piece.startswith("set "):
            asked = checked(ScrapCountRequest, {**said, "count": count, "set": piece.removeprefix("set ")})
            scrap_counted(workshop, number, asked, actor=OWNER)
        else:
            if count.strip() not in ("", "1"):
                raise BadRequest(
                    "a piece with a key of its own is one piece",
                    field="count",
                    value=count,
                    todo="Leave it at 1, or choose those that are not tracked",
                )
            scrap_piece(workshop, piece, checked(ScrapRequest, said), actor=OWNER)
        return go(f"/desk/segments/{number}#pieces")

    @routes.post("/desk/segments/{number}/deviations")
    def reworked(
        request: Request, number: str, key: Annotated[str, Form(max_length=40)], deviation: Words = ""
    ) -> Response:
        front.inside(request)
        record_deviation(workshop, key, checked(DeviationRequest, {"deviation": deviation}), actor=OWNER)
        return go(f"/desk/segments/{number}#pieces")

    return routes


def revisions_of(text: str) -> dict[str, str]:
    """Revisions as they were typed: a place or number and a letter on each line.

    Raises:
        BadRequest: a line holds something else.
    """
    found = {}
    for count, line in enumerate((line for line in text.splitlines() if line.strip()), start=1):
        place, _, letter = line.strip().rpartition(" ")
        words = place.split()
        if words and words[-1].lower() in ("rev", "revision"):
            words.pop()
        if not words:
            raise BadRequest(
                "this line names no revision",
                field="revisions",
                value=line,
                todo="Write a place and a revision a line, such as SW2-U3 B",
                place=f"line {count}",
            )
        found["".join(words)] = letter
    return found
