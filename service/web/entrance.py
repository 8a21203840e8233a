"""The start page with its three doors, and signing in and out."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response

from service.errors import NotSignedIn
from service.web.front import Front, go, local_address
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.visits import COOKIE


def entrance_routes(front: Front) -> APIRouter:
    """``/``, ``/sign-in`` and ``/sign-out``."""
    routes = front.routes()

    @routes.get("/")
    def start(request: Request) -> Response:
        return page("start.html", who=front.inside(request))

    @routes.get("/sign-in")
    def sign_in_form(request: Request, to: Annotated[str, Query(alias="next", max_length=2000)] = "/") -> Response:
        who = front.who(request)
        if who.signed_in:
            return go(local_address(to))
        return page("sign_in.html", who=who, form=FormView(), next=local_address(to))

    @routes.post("/sign-in")
    def sign_in(
        request: Request,
        owner_key: Annotated[str, Form(max_length=1000)] = "",
        to: Annotated[str, Form(alias="next", max_length=2000)] = "/",
    ) -> Response:
        if front.who(request).signed_in:
            return go(local_address(to))
        if not front.visits.is_owner_key(owner_key):
            # The key itself is never shown again, not even a wrong one: it may be right but for a letter.
            wrong = NotSignedIn(
                "this is not the owner key", field="owner_key", value=None, todo="Type it again, or ask who set it"
            )
            problem = front.problem(wrong)
            return page(
                "sign_in.html",
                who=front.who(request),
                status=problem.status,
                form=FormView({}, problem),
                next=local_address(to),
            )
        answer = go(local_address(to))
        front.visits.welcome(request, answer)
        return answer

    @routes.post("/sign-out")
    def sign_out() -> Response:
        answer = go("/sign-in")
        answer.delete_cookie(COOKIE, httponly=True, samesite="lax")
        return answer

    return routes
