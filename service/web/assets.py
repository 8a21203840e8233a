"""Style sheet, scripts, drawings and faces, read once and served from memory with a tag of their content."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Request, Response

from service.errors import PageUnknown
from service.render.fonts import FONT_FOLDER

STATIC = Path(__file__).parent / "static"
MEDIA_TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
}


@dataclass(frozen=True, slots=True)
class Asset:
    """A file as it is served."""

    data: bytes
    media_type: str
    tag: str


@cache
def assets() -> Mapping[str, Asset]:
    """Every file that may be served, by its name under ``/static/``; nothing else can be asked for."""
    files = {path.name: path for path in STATIC.iterdir()}
    files |= {f"fonts/{path.name}": path for path in FONT_FOLDER.iterdir()}
    found = {}
    for name, path in files.items():
        if path.suffix in MEDIA_TYPES:
            data = path.read_bytes()
            found[name] = Asset(data, MEDIA_TYPES[path.suffix], hashlib.sha256(data).hexdigest()[:16])
    return found


def address(name: str) -> str:
    """The address of an asset; it changes with the content, so that a browser never shows an old one."""
    return f"/static/{name}?v={assets()[name].tag}"


def asset_routes() -> APIRouter:
    """``GET /static/…``, open to everybody."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/static/{name:path}")
    def asset(name: str, request: Request) -> Response:
        found = assets().get(name)
        if found is None:
            raise PageUnknown(
                "there is no such file", field="path", value=request.url.path, todo="Go back to the start page"
            )
        tag = f'"{found.tag}"'
        headers = {"ETag": tag, "X-Content-Type-Options": "nosniff"}
        current = request.query_params.get("v") == found.tag
        headers["Cache-Control"] = "public, max-age=31536000, immutable" if current else "public, max-age=300"
        if request.headers.get("if-none-match") == tag:
            return Response(status_code=304, headers=headers)
        return Response(found.data, media_type=found.media_type, headers=headers)

    return routes
