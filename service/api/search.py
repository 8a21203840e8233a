"""The desk: from half a number and what the caller knows to the segments that may be meant."""

from __future__ import annotations

from fastapi import APIRouter

from schemas.search import SearchAnswer, SearchRequest
from service.api.problems import RESPONSES
from service.work.search import search
from service.work.workshop import Workshop


def search_routes(workshop: Workshop) -> APIRouter:
    """The route over one workshop."""
    router = APIRouter(prefix="/api", tags=["desk"], responses=RESPONSES)

    @router.post("/search", response_model=SearchAnswer)
    def post_search(body: SearchRequest) -> SearchAnswer:
        """The segments that may be meant, the likeliest first, and the question that leaves the fewest.

        Nothing is put on record, none is picked, and none is ruled out: a mark can be misread, and a caller be wrong.
        """
        return search(workshop, body)

    return router
