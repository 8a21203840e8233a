"""Style sheet, scripts, drawings and faces, read once and kept with a tag of their content."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

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
