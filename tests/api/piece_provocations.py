"""For each error code about sets, single pieces, retired kits and exports: what provokes it over HTTP."""

from __future__ import annotations

import io
import threading
from collections.abc import Callable
from typing import IO

import httpx2

from service.api import export
from tests.api.conftest import KIT
from tests.api.scene import Ask, Scene
from tests.small_kit import NUMBER_PLATES, NUMBER_U3

SCRAP = {"kind": "broken", "note": "jam"}


def fitted_key(scene: Scene) -> str:
    """The key of the piece on a quarter of the star."""
    key: str = scene.client.get(f"/api/segments/{NUMBER_U3}").json()["pieces"][0]["key"]
    return key


def scrapped(scene: Scene) -> Ask:
    scrap = scene.post(f"/api/pieces/{fitted_key(scene)}/scrapped", SCRAP)
    scrap()
    return scrap


def on_order(scene: Scene) -> Ask:
    ordered = scene.post("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"})().json()["key"]
    return scene.post(f"/api/pieces/{ordered}/deviations", {"deviation": "pocket 2 opened"})


def retired(scene: Scene) -> Ask:
    scene.post(f"/api/kits/{KIT}/retirement", {"reason": "the bottle is filled no more"})()
    return scene.get(f"/api/segments/{NUMBER_U3}/nameplate.svg")


def exported_twice(scene: Scene) -> Ask:
    """One archive is being written when another is asked for."""
    begun, asked = threading.Event(), threading.Event()

    def slow(_workshop: object) -> IO[bytes]:
        begun.set()
        asked.wait(20)
        return io.BytesIO()

    scene.monkeypatch.setattr(export, "export_to_stream", slow)

    def ask() -> httpx2.Response:
        first = threading.Thread(target=scene.get("/api/export.zip"))
        first.start()
        begun.wait(20)
        try:
            return scene.get("/api/export.zip")()
        finally:
            asked.set()
            first.join()

    return ask


PIECE_PROVOCATIONS: dict[str, Callable[[Scene], Ask]] = {
    "piece_unknown": lambda scene: scene.get(f"/api/pieces/{NUMBER_PLATES}"),
    "set_unknown": lambda scene: scene.get(f"/api/kits/{KIT}/nameplates.pdf?set=3"),
    "piece_gone": scrapped,
    "piece_on_order": on_order,
    "too_few_pieces": lambda scene: scene.post(f"/api/segments/{NUMBER_PLATES}/pieces", {"track": 9000}),
    "kit_retired": retired,
    "request_in_progress": exported_twice,
}
"""By code, as in ``provocations.py``."""
