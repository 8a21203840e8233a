"""For whoever runs the service: is it there, does it work, how much does it hold."""

from __future__ import annotations

from fastapi import APIRouter, Response
from fastapi.responses import JSONResponse, PlainTextResponse

from schemas.answers import HealthAnswer
from service.api.problems import RESPONSES
from service.work.figures import figures, ready
from service.work.workshop import Workshop


def operations_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(tags=["operations"])

    @router.get("/healthz", response_model=HealthAnswer)
    async def healthz() -> HealthAnswer:
        """The process answers."""
        return HealthAnswer(status="ok")

    @router.get(
        "/readyz",
        response_model=HealthAnswer,
        responses={503: {"model": HealthAnswer, "description": "Records or vault do not answer."}},
    )
    def readyz() -> Response:
        """Records and vault answer, and the tables are those of this program."""
        if ready(workshop):
            return JSONResponse({"status": "ok"})
        return JSONResponse({"status": "not ready"}, status_code=503)

    @router.get("/metrics", response_class=PlainTextResponse, responses={401: RESPONSES[401], 503: RESPONSES[503]})
    def metrics() -> PlainTextResponse:
        """How much is on record, in the text format that metric collectors read."""
        lines = []
        for name, words, value in figures(workshop):
            lines += [f"# HELP kitwright_{name} {words}", f"# TYPE kitwright_{name} gauge", f"kitwright_{name} {value}"]
        return PlainTextResponse("\n".join(lines) + "\n", media_type="text/plain; version=0.0.4")

    return router
