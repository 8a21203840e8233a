"""Style sheet, scripts, drawings and faces, served from memory to everybody."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from service.errors import PageUnknown
from service.web.assets import assets
from service.web.front import Front


def static_routes(front: Front) -> APIRouter:
    """``/static/…``."""
    routes = front.routes()

    @routes.get("/static/{name:path}")
    def asset(name: str, request: Request) -> Response:
        found = assets().get(name)
        if found is None:
            raise PageUnknown(
                "there is no such file", field="path", value=request.url.path, todo="Go back to the start page"
            )
        tag = f'"{found.tag}"'
        current = request.query_params.get("v") == found.tag
        headers = {
            "ETag": tag,
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "public, max-age=31536000, immutable" if current else "public, max-age=300",
        }
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers=headers)
        return Response(found.data, media_type=found.media_type, headers=headers)

    return routes
