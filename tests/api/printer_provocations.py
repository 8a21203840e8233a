"""Requests that provoke what can be wrong with a printer. What answers is a server on loopback that a test wrote."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any

import httpx2

from tests.api.scene import Ask, Scene
from tests.printers.ippeveprinter import free_port
from tests.printers.scripted import Scripted, answering, describing, scripted

ASK = "/api/printers/bench?template=nameplate-60x22&dpi=203"


def at(server: Callable[[], AbstractContextManager[Scripted]]) -> Callable[[Scene], Ask]:
    """The bench's printer, asked about plates, is this server."""

    def provoke(scene: Scene) -> Ask:
        def ask() -> httpx2.Response:
            with server() as script:
                return scene.over(printers={"bench": script.uri}).get(ASK)

        return ask

    return provoke


def printer(**facts: Any) -> Callable[[Scene], Ask]:
    """The bench's printer describes itself so."""
    return at(lambda: scripted(answering(0, describing(**facts))))


def nobody(scene: Scene) -> Ask:
    client = scene.over(printers={"bench": f"ipp://127.0.0.1:{free_port()}/ipp/print"})
    return lambda: client.get(ASK)


PRINTER_PROVOCATIONS: dict[str, Callable[[Scene], Ask]] = {
    "format_refused": printer(formats=["application/postscript"]),
    "media_refused": printer(media=["iso_a4_210x297mm"]),
    "resolution_refused": printer(dpi=[300]),
    "printer_unknown": lambda scene: scene.get("/api/printers/bench"),
    "printer_unreachable": nobody,
    "no_printer": at(lambda: scripted(lambda _request, _body: b"<html>", headers={"Content-Type": "text/html"})),
    "printer_refused": at(lambda: scripted(answering(0x0403))),
    "printer_stopped": printer(state=5, reasons=["media-empty-error"]),
}
