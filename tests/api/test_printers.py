"""The shop's printers over HTTP: those that are named are asked, no other address is called."""

from __future__ import annotations

import dataclasses

import pytest
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.settings import Settings
from service.work.workshop import Workshop
from tests.api.conftest import client_of
from tests.printers.ippeveprinter import free_port
from tests.printers.scripted import answering, describing, scripted


def test_a_shop_without_printers_has_an_empty_list(client: TestClient, issued: KitAnswer) -> None:
    assert client.get("/api/printers").json() == {"printers": []}


def test_the_named_printers_are_listed_unasked(settings: Settings, workshop: Workshop) -> None:
    uri = f"ipp://127.0.0.1:{free_port()}/ipp/print"
    listed = client_of(settings, dataclasses.replace(workshop, printers={"bench": uri})).get("/api/printers").json()
    assert listed == {"printers": [{"name": "bench", "uri": uri}]}


def test_a_printer_says_what_it_can_do(settings: Settings, workshop: Workshop) -> None:
    with scripted(answering(0, describing(dpi=[203, 300]))) as server:
        over = client_of(settings, dataclasses.replace(workshop, printers={"front office": server.uri}))
        told = over.get("/api/printers/front office").json()
    assert (told["name"], told["uri"], told["state"]) == ("front office", server.uri, "idle")
    assert told["dpi"] == [203, 300]
    assert told["media"] == [{"width_mm": 60.0, "height_mm": 22.0, "name": "om_plate_60x22mm", "loaded": False}]
    assert told["plan"] is None


def test_how_marks_of_a_template_would_go_there(settings: Settings, workshop: Workshop) -> None:
    with scripted(answering(0, describing(dpi=[300], media=["iso_a4_210x297mm"]))) as server:
        over = client_of(settings, dataclasses.replace(workshop, printers={"office": server.uri}))
        asked: dict[str, str | int] = {"template": "nameplate-60x22", "paper": "a4", "dpi": 300}
        plan = over.get("/api/printers/office", params=asked).json()["plan"]
        refused = over.get("/api/printers/office", params={**asked, "paper": "roll"}).json()
    assert plan == {
        "template": "nameplate-60x22",
        "format": "application/pdf",
        "width_mm": 210.0,
        "height_mm": 297.0,
        "turned": False,
        "drawn_dpi": 300,
        "printer_dpi": 300,
        "notes": [],
    }
    assert refused["code"] == "media_refused"
    assert "210 × 297 mm" in refused["detail"]


@pytest.mark.parametrize(
    ("query", "code"), [("dpi=72", "bad_request"), ("dpi=0", "bad_request"), ("template=none", "template_unknown")]
)
def test_a_wrong_question_calls_nobody(settings: Settings, workshop: Workshop, query: str, code: str) -> None:
    with scripted(answering(0, describing())) as server:
        over = client_of(settings, dataclasses.replace(workshop, printers={"bench": server.uri}))
        assert over.get(f"/api/printers/bench?{query}").json()["code"] == code
        assert server.requests == []


def test_an_address_instead_of_a_name_is_not_called(settings: Settings, workshop: Workshop) -> None:
    with scripted(answering(0, describing())) as server:
        over = client_of(settings, dataclasses.replace(workshop, printers={}))
        for address in (server.uri, server.uri.replace("/", "%2F"), f"127.0.0.1:{server.port}"):
            assert over.get(f"/api/printers/{address}").status_code == 404
        assert server.requests == []
