"""Everybody's desk: a nameplate as data, beside the one that is printed."""

from __future__ import annotations

from fastapi import APIRouter, Response

from service.api.problems import RESPONSES
from service.api.requests import Mark, answers_file, attachment
from service.work import nameplate_data as verb
from service.work.workshop import Workshop

JSON = "application/json"


def nameplate_data_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop; to be asked before ``nameplate.{form}``."""
    router = APIRouter(prefix="/api", tags=["floor and desk"], responses=RESPONSES)

    @router.get(
        "/segments/{number}/nameplate.json",
        response_class=Response,
        responses=answers_file("An environment of Asset Administration Shells in JSON (IDTA 01001).", JSON),
    )
    def nameplate_data(number: Mark) -> Response:
        """The nameplate as data: the submodel Digital Nameplate (IDTA 02006-3-0), one for each piece with a mark.

        What the standard wants and is not on record stands without a value, and its extension `notOnRecord` says so.
        """
        data, _missing = verb.nameplate_data(workshop, number)
        return attachment(data, JSON, f"nameplate-{number.strip().upper()}.json")

    return router
