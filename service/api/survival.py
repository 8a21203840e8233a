"""The shop: what a mark bears before it is printed."""

from __future__ import annotations

from fastapi import APIRouter

from schemas.answers.survival import SurvivalAnswer
from service.api.problems import RESPONSES
from service.api.requests import Dpi, Mark, Template
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE
from service.work.survival import mark_survival
from service.work.workshop import Workshop


def survival_routes(workshop: Workshop) -> APIRouter:
    """The route over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.get("/segments/{number}/survival", response_model=SurvivalAnswer)
    def get_survival(number: Mark, template: Template = DEFAULT_TEMPLATE, dpi: Dpi = DEFAULT_DPI) -> SurvivalAnswer:
        """Damage the mark of a segment in every way of a fixed set and read it again: its survival card."""
        return mark_survival(workshop, number, template=template, dpi=dpi).answer

    return router
