"""The page on a caller's telephone: large outlines, and which of them it is. Open to whoever has the link."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Path, Query, Request, Response

from schemas.damage_report import ConfirmRequest, LinkPageAnswer, LinkPictureAnswer
from schemas.faults import checked
from service.errors import LinkUnknown
from service.marks.words import colour_word
from service.web.confirm_words import CONFIRM, language_for
from service.web.front import Front, go
from service.web.pages import page
from service.web.views import Colour, Picture
from service.work.plan import segment_picture
from service.work.report_link import confirm_link, open_link

Token = Annotated[str, Path(max_length=200)]
Language = Annotated[str, Query(max_length=20)]

NONE = "none"


@dataclass(frozen=True, slots=True)
class ToConfirm:
    """One picture, and its colour with the word of the page's language."""

    facts: LinkPictureAnswer
    picture: Picture
    colour: Colour
    colour_word: str


@dataclass(frozen=True, slots=True)
class ConfirmView:
    """What a link shows."""

    pictures: tuple[ToConfirm, ...]
    answered: str | None
    shop_name: str
    shop_telephone: str


def confirm_routes(front: Front) -> APIRouter:
    """``/r/…``."""
    routes = front.routes()

    @routes.get("/r/{token}")
    def asked(request: Request, token: Token, lang: Language = "") -> Response:
        return _page(front, request, token, _language(request, lang))

    @routes.post("/r/{token}")
    def answered(
        request: Request, token: Token, lang: Language = "", ordinal: Annotated[str, Form(max_length=10)] = ""
    ) -> Response:
        language = _language(request, lang)
        try:
            said = checked(ConfirmRequest, {"ordinal": None if ordinal == NONE else ordinal})
            confirm_link(front.workshop, token, said)
        except LinkUnknown:
            return _page(front, request, token, language)
        return go(f"{request.url.path}?lang={language}")

    return routes


def _language(request: Request, chosen: str) -> str:
    return language_for(chosen, request.headers.get("accept-language", ""))


def _page(front: Front, request: Request, token: str, language: str) -> Response:
    status, view = 200, None
    try:
        view = _view(front, open_link(front.workshop, token), language)
    except LinkUnknown as error:
        status = front.status_of(error)
    return page(
        "confirm.html",
        who=front.who(request),
        status=status,
        view=view,
        words=CONFIRM[language],
        language=language,
        languages=CONFIRM,
    )


def _view(front: Front, answer: LinkPageAnswer, language: str) -> ConfirmView:
    return ConfirmView(
        pictures=tuple(
            ToConfirm(
                facts,
                Picture.inline(segment_picture(front.workshop, facts.number)),
                Colour.of(facts.stock_colour),
                colour_word(facts.stock_colour, language),
            )
            for facts in answer.pictures
        ),
        answered=answer.answered,
        shop_name=answer.shop_name,
        shop_telephone=answer.shop_telephone,
    )
