"""The shop's own name, address and telephone, as every plate shows them."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response

from schemas.answers import ShopAnswer
from schemas.faults import checked
from schemas.requests import ShopRequest
from service.errors import KitwrightError
from service.web.front import OWNER, Front
from service.web.pages import page
from service.web.shop_views import ShopDetails
from service.web.views import Form as FormView
from service.work.shop_facts import set_shop_facts, shop_facts


def shop_details_routes(front: Front) -> APIRouter:
    """``/shop/details``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/shop/details")
    def details(request: Request) -> Response:
        who = front.inside(request)
        view = _details(shop_facts(workshop), FormView(), saved=False)
        return page("shop_details.html", who=who, desk="/shop", view=view)

    @routes.post("/shop/details")
    def change(
        request: Request,
        name: Annotated[str, Form()] = "",
        address: Annotated[str, Form()] = "",
        telephone: Annotated[str, Form()] = "",
        street: Annotated[str, Form()] = "",
        postal_code: Annotated[str, Form()] = "",
        town: Annotated[str, Form()] = "",
        country: Annotated[str, Form()] = "",
    ) -> Response:
        who = front.inside(request)
        typed = {"name": name, "address": address, "telephone": telephone}
        typed |= {"street": street, "postal_code": postal_code, "town": town, "country": country}
        try:
            kept = set_shop_facts(workshop, checked(ShopRequest, typed), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            view = _details(shop_facts(workshop), FormView(typed, problem), saved=False)
            return page("shop_details.html", who=who, desk="/shop", status=problem.status, view=view)
        return page("shop_details.html", who=who, desk="/shop", view=_details(kept, FormView(), saved=True))

    return routes


def _details(facts: ShopAnswer, form: FormView, *, saved: bool) -> ShopDetails:
    return ShopDetails(**facts.model_dump(), form=form, saved=saved)
