"""Lists over a plant: parts that bolt on in each other's place, places that break, and the spares for them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request, Response

from schemas.bolts_on import BoltsOnPairAnswer, BoltsOnWrongAnswer
from schemas.casualties import CasualtiesAnswer, PlaceCasualtiesAnswer
from service.errors import BadRequest
from service.rules.casualties import USUAL_LEAD_TIME_DAYS, USUAL_RISK
from service.web.desk import segment_page
from service.web.front import Front
from service.web.pages import page
from service.web.views import Colour, Number, Page, Picture
from service.web.views import Form as FormView
from service.work.bolts_on_wrong import bolts_on_wrong, overlay_picture
from service.work.casualties import kit_casualties, kit_casualty_plan, plant_casualties
from service.work.workshop import Workshop

PAIRS = 10
"""Pairs a page: each is drawn."""
PLACES = 100
PLAN_PX = 1200.0

After = Annotated[int, Query(ge=0, le=1_000_000)]
Text = Annotated[str, Query(max_length=12)]


@dataclass(frozen=True, slots=True)
class PairCard:
    """One pair with its picture."""

    facts: BoltsOnPairAnswer
    first: Number
    second: Number
    colours: tuple[Colour, Colour]
    picture: Picture


@dataclass(frozen=True, slots=True)
class BoltsOnPage:
    """A page of pairs."""

    facts: BoltsOnWrongAnswer
    pairs: tuple[PairCard, ...]
    page: Page


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One place with the width of its bar, 0 to 100."""

    number: Number
    facts: PlaceCasualtiesAnswer
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class CasualtiesPage:
    """The places of a plant or a kit; ``facts`` is None when what was asked made no sense."""

    title: str
    here: str
    back: tuple[str, str]
    facts: CasualtiesAnswer | None
    rows: tuple[PlaceRow, ...]
    plan: Picture | None
    form: FormView
    page: Page


def plant_list_routes(front: Front) -> APIRouter:
    """``/shop/plants/…/bolts-on-wrong``, ``/shop/plants/…/casualties`` and ``/shop/kits/…/casualties``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/shop/plants/{code}/bolts-on-wrong")
    def wrong_places(request: Request, code: str, after: After = 0) -> Response:
        who = front.inside(request)
        facts = bolts_on_wrong(workshop, code, after=after, limit=PAIRS)
        here = f"/shop/plants/{facts.plant}/bolts-on-wrong"
        seen = after + len(facts.pairs)
        view = BoltsOnPage(
            facts=facts,
            pairs=tuple(_pair(workshop, pair) for pair in facts.pairs),
            page=Page(
                next_url=f"{here}?after={seen}" if facts.pairs and seen < facts.total - facts.cut_off else None,
                first_url=here if after else None,
            ),
        )
        return page("bolts_on_wrong.html", who=who, desk="/shop", view=view)

    @routes.get("/shop/plants/{code}/casualties")
    def plant_places(request: Request, code: str, risk: Text = "", days: Text = "", after: After = 0) -> Response:
        def asked(chance: float, lead: int) -> CasualtiesAnswer:
            return plant_casualties(workshop, code, risk=chance, lead_time_days=lead, after=after, limit=PLACES)

        front.inside(request)
        facts, form = _asked(front, asked, risk, days)
        shown = facts or asked(USUAL_RISK, USUAL_LEAD_TIME_DAYS)
        here = f"/shop/plants/{shown.plant}/casualties"
        view = CasualtiesPage(
            title=f"Which places of {shown.plant} break most",
            here=here,
            back=(f"/shop/plants/{shown.plant}", f"Plant {shown.plant}"),
            facts=facts,
            rows=_rows(facts),
            plan=None,
            form=form,
            page=_pages(facts, here, after, form),
        )
        return _shown(front, request, view)

    @routes.get("/shop/kits/{kit}/casualties")
    def kit_places(request: Request, kit: str, risk: Text = "", days: Text = "", after: After = 0) -> Response:
        def asked(chance: float, lead: int) -> CasualtiesAnswer:
            return kit_casualties(workshop, kit, risk=chance, lead_time_days=lead, after=after, limit=PLACES)

        front.inside(request)
        facts, form = _asked(front, asked, risk, days)
        number = (facts or asked(USUAL_RISK, USUAL_LEAD_TIME_DAYS)).kit or kit
        here = f"/shop/kits/{number}/casualties"
        view = CasualtiesPage(
            title=f"Which parts of {number} break most",
            here=here,
            back=(f"/shop/kits/{number}", f"Kit {number}"),
            facts=facts,
            rows=_rows(facts),
            plan=Picture.inline(kit_casualty_plan(workshop, number, width_px=PLAN_PX, href=segment_page)),
            form=form,
            page=_pages(facts, here, after, form),
        )
        return _shown(front, request, view)

    return routes


def _pair(workshop: Workshop, pair: BoltsOnPairAnswer) -> PairCard:
    return PairCard(
        facts=pair,
        first=Number(pair.first.number),
        second=Number(pair.second.number),
        colours=(Colour.of(pair.first.stock_colour), Colour.of(pair.second.stock_colour)),
        picture=Picture.inline(overlay_picture(workshop, pair.first.number, pair.second.number)),
    )


def _asked(
    front: Front, ask: Callable[[float, int], CasualtiesAnswer], risk: str, days: str
) -> tuple[CasualtiesAnswer | None, FormView]:
    """What was asked for with a risk in per cent and a lead time in days, or the form with what is wrong in it."""
    values = {"risk": risk.strip() or f"{100 * USUAL_RISK:g}", "days": days.strip() or str(USUAL_LEAD_TIME_DAYS)}
    try:
        return ask(_number("risk", values["risk"]) / 100, int(_number("days", values["days"]))), FormView(values)
    except BadRequest as error:
        return None, FormView(values, front.problem(error))


def _number(field: str, text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise BadRequest("not a number", field=field, value=text, todo="Give a number")
    return number


def _rows(facts: CasualtiesAnswer | None) -> tuple[PlaceRow, ...]:
    if facts is None:
        return ()
    longest = max((place.rate_high for place in facts.places), default=0.0) or 1.0
    return tuple(
        PlaceRow(
            number=Number(place.number),
            facts=place,
            low=100 * place.rate_low / longest,
            middle=100 * place.rate / longest,
            high=100 * place.rate_high / longest,
        )
        for place in facts.places
    )


def _pages(facts: CasualtiesAnswer | None, here: str, after: int, form: FormView) -> Page:
    if facts is None:
        return Page()
    asked, seen = {"risk": form.get("risk"), "days": form.get("days")}, after + len(facts.places)
    more = bool(facts.places) and seen < facts.total
    return Page(
        next_url=f"{here}?{urlencode({**asked, 'after': seen})}" if more else None,
        first_url=f"{here}?{urlencode(asked)}" if after else None,
    )


def _shown(front: Front, request: Request, view: CasualtiesPage) -> Response:
    status = view.form.problem.status if view.form.problem else 200
    return page("casualties.html", who=front.who(request), desk="/shop", status=status, view=view)
