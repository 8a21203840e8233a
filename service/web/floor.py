"""The floor: the page that a scanned code opens, and a field for scanners at the machine."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers import ContainerAnswer, PieceAnswer, ReadAnswer, SegmentAnswer
from service.errors import KitwrightError
from service.web.desk import segment_page
from service.web.desk_views import repair_words
from service.web.floor_views import FloorCard, FloorDetails
from service.web.front import Front
from service.web.pages import Who, page
from service.web.readings import not_settled
from service.web.views import Colour, Number, Picture
from service.web.views import Form as FormView
from service.work.plan import kit_plan
from service.work.read import read_mark
from service.work.resolve import resolve_mark
from service.work.reuse import why_to_check
from service.work.shop_facts import shop_facts
from service.work.workshop import Workshop

RIGHT_IS_NOT_SAFE = "This page says which part it is. The right part never means a safe machine."

PHONE_PX = 420.0
"""How wide the plan is drawn on this page: about as wide as a phone shows it, so that labels stay legible."""


def floor_routes(front: Front) -> APIRouter:
    """``/floor``, and ``/s/…`` in either letter case, which alone is open to everybody."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/floor")
    def floor(request: Request, mark: Annotated[str, Query(max_length=512)] = "") -> Response:
        who = front.inside(request)
        if not mark.strip():
            return page("floor.html", who=who, desk="/floor", form=FormView())
        try:
            said = read_mark(workshop, mark)
        except KitwrightError as error:
            problem = front.problem(error)
            form = FormView({"mark": mark}, problem)
            return page("floor.html", who=who, desk="/floor", status=problem.status, form=form)
        if said.outcome not in ("exact", "repaired"):
            return page("reading.html", who=who, desk="/floor", on_floor=True, view=not_settled(workshop, mark, said))
        return _card_page(request, who, floor_card(workshop, mark, said, who), said, scanning=True)

    @routes.get("/s/{mark}")
    @routes.get("/S/{mark}")
    def scanned(request: Request, mark: str) -> Response:
        who = front.who(request)
        said = read_mark(workshop, mark)
        return _card_page(request, who, floor_card(workshop, mark, said, who), said, scanning=False)

    return routes


def _card_page(request: Request, who: Who, view: FloorCard, said: ReadAnswer, *, scanning: bool) -> Response:
    return page(
        "floor_card.html",
        who=who,
        desk="/floor",
        view=view,
        scanning=scanning,
        repairs=repair_words(said.repairs),
        here=request.url.path,
    )


def floor_card(workshop: Workshop, mark: str, said: ReadAnswer, who: Who) -> FloorCard:
    """What the nameplate shows, and for signed-in people what the records add.

    Raises:
        MarkUnknown, AmbiguousMark: the mark names nothing, or several things.
    """
    facts = resolve_mark(workshop, mark)
    shop = shop_facts(workshop)
    key = said.key or facts.key
    piece = next((piece for piece in facts.pieces if piece.key == key), None)
    return FloorCard(
        number=Number(facts.number),
        key=key,
        container_words=container_words(facts.container),
        container_code=facts.container.code,
        assembly=f"{facts.assembly} ({facts.assembly_code})",
        deck=facts.deck,
        place=facts.place,
        segment_of=facts.segment_of,
        hand=facts.hand or "",
        mass_kg=facts.mass_kg,
        quantity=facts.quantity,
        colour=Colour.of(facts.stock_colour),
        shop_name=shop.name,
        shop_telephone=shop.telephone,
        cautions=(RIGHT_IS_NOT_SAFE, *facts.cautions),
        voided_reason=facts.void_reason or "",
        retired=facts.kit_status == "retired",
        condition=piece.condition if piece else "",
        details=_details(workshop, facts, piece) if who.signed_in else None,
    )


def container_words(container: ContainerAnswer) -> str:
    """The container as people on the line say it: the name, and the content where the name lacks it."""
    content = f"{container.nominal} {container.unit}"
    spoken = container.name.replace(" ", "").casefold()
    return container.name if content.replace(" ", "").casefold() in spoken else f"{container.name} {content}"


def _details(workshop: Workshop, facts: SegmentAnswer, piece: PieceAnswer | None) -> FloorDetails:
    return FloorDetails(
        facts=facts,
        piece=piece,
        neighbours=tuple(Number(other.number) for other in facts.neighbours),
        check_before_reuse=why_to_check(workshop, facts.kit),
        plan=Picture.inline(
            kit_plan(
                workshop,
                facts.kit,
                lit=[facts.number],
                only_around=facts.number,
                width_px=PHONE_PX,
                href=segment_page,
            )
        ),
    )
