"""The page of a mark: what it bears, and what says which piece it is when a symbol is lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers.survival import SurvivalAnswer, SurvivalDamageAnswer
from service.marks.dots import DOTS_PER_MM
from service.marks.survival import WRITTEN
from service.web.front import Front
from service.web.pages import page
from service.web.views import Number, Picture
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE
from service.work.survival import mark_survival

#: So many of the damages that take the identity are told in full.
MOST_TOLD = 12


@dataclass(frozen=True, slots=True)
class SurvivalPage:
    """The page of a mark.

    Attributes:
        number: of the segment.
        facts: the card.
        picture: the plate, each symbol outlined.
        templates: names and titles to choose from.
        resolutions: to choose from.
        fatal: damages after which nothing says which piece it is but letters, at most so many.
        fatal_count: of all of these.
        written: what stands on the mark in letters, number and key, and so may be left.
    """

    number: Number
    facts: SurvivalAnswer
    picture: Picture
    templates: tuple[tuple[str, str], ...]
    resolutions: tuple[int, ...]
    fatal: tuple[SurvivalDamageAnswer, ...]
    fatal_count: int
    written: tuple[str, ...]


def survival_routes(front: Front) -> APIRouter:
    """``/shop/marks/…``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/shop/marks/{number}")
    def survival(
        request: Request,
        number: str,
        template: Annotated[str, Query(max_length=80)] = DEFAULT_TEMPLATE,
        dpi: Annotated[int, Query()] = DEFAULT_DPI,
    ) -> Response:
        who = front.inside(request)
        facts, picture = mark_survival(workshop, number, template=template, dpi=dpi)
        fatal = first_of_each(facts.damages)
        view = SurvivalPage(
            number=Number(facts.number),
            facts=facts,
            picture=Picture(picture[picture.index("<svg") :]),
            templates=tuple((one.name, one.title) for one in workshop.templates.values()),
            resolutions=tuple(DOTS_PER_MM),
            fatal=tuple(fatal[:MOST_TOLD]),
            fatal_count=sum(damage.identity == "lost" for damage in facts.damages),
            written=tuple(name for name in WRITTEN if any(name in symbol.written for symbol in facts.symbols)),
        )
        return page("survival.html", who=who, desk="/shop", view=view)

    return routes


def first_of_each(damages: Sequence[SurvivalDamageAnswer]) -> list[SurvivalDamageAnswer]:
    """Damages that leave nothing to be read by a scanner, one for each sentence, as they come."""
    lost = [damage for damage in damages if damage.identity == "lost"]
    return list({damage.sentence: damage for damage in reversed(lost)}.values())[::-1]
