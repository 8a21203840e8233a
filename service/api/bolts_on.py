"""The shop: parts that could be bolted on where others belong."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Response

from schemas.bolts_on import BoltsOnWrongAnswer
from schemas.text import Printable
from service.api.problems import RESPONSES
from service.api.requests import MOST_ID, Mark, PageSize, answers_file, picture
from service.work.bolts_on_wrong import bolts_on_wrong, overlay_picture
from service.work.workshop import Workshop

PlantCode = Annotated[
    Printable,
    Path(description="The plant's code, in any letter case.", examples=["OSV"], alias="plant", max_length=12),
]
AfterRank = Annotated[
    int | None, Query(description="How many of the list came before this page.", ge=0, le=MOST_ID, examples=[50])
]
OtherMark = Annotated[
    str,
    Path(
        description="Number or key of the segment that is laid over it.",
        examples=["OSV4-FC1-A330-SW1-U1-29"],
        alias="other",
    ),
]


def bolts_on_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.get("/plants/{plant}/bolts-on-wrong", response_model=BoltsOnWrongAnswer)
    def get_bolts_on_wrong(
        plant: PlantCode, response: Response, after: AfterRank = None, limit: PageSize = 50
    ) -> BoltsOnWrongAnswer:
        """Pairs of different parts whose mounting holes agree, the worst first, and the hole that would part them.

        Turned, mirrored and turned over; on one machine or on machines of one class. The header ``Link`` leads to the
        next page.
        """
        answer = bolts_on_wrong(workshop, plant, after=after, limit=limit)
        seen = (after or 0) + len(answer.pairs)
        if answer.pairs and seen < answer.total - answer.cut_off:
            here = f"/api/plants/{answer.plant}/bolts-on-wrong"
            response.headers["Link"] = f'<{here}?after={seen}&limit={limit}>; rel="next"'
        return answer

    @router.get(
        "/segments/{number}/over/{other}.svg",
        response_class=Response,
        responses=answers_file("The two outlines.", "image/svg+xml"),
    )
    def get_overlay(number: Mark, other: OtherMark) -> Response:
        """One part laid over another so that their mounting holes agree; refused where too few of them do."""
        return picture(overlay_picture(workshop, number, other))

    return router
