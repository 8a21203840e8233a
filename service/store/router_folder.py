"""Routers from folders: those that are shipped, and the shop's own, which may replace one of the same name."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from schemas.router import Router, parse_router
from service.errors import BadRouter


def read_routers(folders: Iterable[Path]) -> dict[str, Router]:
    """Every router of the folders by name, a later folder over an earlier one.

    Raises:
        BadRouter: a folder or file cannot be read, or a router has a fault; file, field and line are named.
    """
    found: dict[str, Router] = {}
    for folder in folders:
        if not folder.is_dir():
            raise BadRouter(
                "there is no such folder", field="KITWRIGHT_ROUTERS", value=folder, todo="Name a folder of routers"
            )
        for path in sorted(folder.glob("*.toml")):
            try:
                text = path.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError) as error:
                raise BadRouter(
                    f"the file cannot be read: {error}",
                    field="router",
                    value=path.name,
                    todo="Save it as UTF-8 text that the service may read",
                    place=path.name,
                ) from error
            router = parse_router(text, source=path.name)
            found[router.name] = router
    return found
