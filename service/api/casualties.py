"""The shop: which places break most, and the spares for them."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Response

from schemas.casualties import CasualtiesAnswer
from service.api.bolts_on import AfterRank, PlantCode
from service.api.problems import RESPONSES
from service.api.requests import KitNumber, PageSize, answers_file, picture
from service.rules.casualties import USUAL_LEAD_TIME_DAYS, USUAL_RISK
from service.work.casualties import kit_casualties, kit_casualty_plan, plant_casualties
from service.work.workshop import Workshop

Risk = Annotated[
    float,
    Query(
        description="The chance of running out within the lead time that is accepted, 0.0005 to 0.5.",
        examples=[0.05],
        allow_inf_nan=False,
    ),
]
LeadTime = Annotated[
    int, Query(description="Days from an order until the piece is there, 1 to 3650.", examples=[21], le=10**6)
]


def casualty_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.get("/plants/{plant}/casualties", response_model=CasualtiesAnswer)
    def get_plant_casualties(
        plant: PlantCode,
        response: Response,
        *,
        risk: Risk = USUAL_RISK,
        lead_time_days: LeadTime = USUAL_LEAD_TIME_DAYS,
        after: AfterRank = None,
        limit: PageSize = 50,
    ) -> CasualtiesAnswer:
        """The places of a plant that break most, and how many spares each needs; the header ``Link`` leads on."""
        answer = plant_casualties(workshop, plant, risk=risk, lead_time_days=lead_time_days, after=after, limit=limit)
        return _linked(response, answer, f"/api/plants/{answer.plant}/casualties", after, limit)

    @router.get("/kits/{kit}/casualties", response_model=CasualtiesAnswer)
    def get_kit_casualties(
        kit: KitNumber,
        response: Response,
        *,
        risk: Risk = USUAL_RISK,
        lead_time_days: LeadTime = USUAL_LEAD_TIME_DAYS,
        after: AfterRank = None,
        limit: PageSize = 200,
    ) -> CasualtiesAnswer:
        """The places of a kit that break most, and how many spares each needs; the header ``Link`` leads on."""
        answer = kit_casualties(workshop, kit, risk=risk, lead_time_days=lead_time_days, after=after, limit=limit)
        return _linked(response, answer, f"/api/kits/{answer.kit}/casualties", after, limit)

    @router.get(
        "/kits/{kit}/casualties.svg",
        response_class=Response,
        responses=answers_file("The shaded plan.", "image/svg+xml"),
    )
    def get_casualty_plan(kit: KitNumber) -> Response:
        """The plan of a kit, each part shaded by how often it breaks, with the figure on it."""
        return picture(kit_casualty_plan(workshop, kit))

    return router


def _linked(response: Response, answer: CasualtiesAnswer, here: str, after: int | None, limit: int) -> CasualtiesAnswer:
    seen = (after or 0) + len(answer.places)
    if answer.places and seen < answer.total:
        asked = f"risk={answer.risk:g}&lead_time_days={answer.lead_time_days}&after={seen}&limit={limit}"
        response.headers["Link"] = f'<{here}?{asked}>; rel="next"'
    return answer
