"""Printers asked from the terminal, by name and by address; nameplates written as data."""

from __future__ import annotations

import json

import pytest

from tests.commands.terminal import Terminal
from tests.printers.ippeveprinter import free_port
from tests.printers.scripted import answering, describing, scripted
from tests.small_kit import NUMBER_U3


def test_the_shops_printers_are_named(issued: Terminal) -> None:
    done = issued.run("printers", environment={"KITWRIGHT_PRINTERS": "bench=ipp://labels.example/ipp/print"})
    assert (done.status, done.out) == (0, "bench ipp://labels.example/ipp/print")
    assert issued.run("printers").out == ""


def test_a_printer_is_asked_by_name_or_by_address(issued: Terminal) -> None:
    with scripted(answering(0, describing(dpi=[203], reasons=["media-low-warning"]))) as server:
        named = {"KITWRIGHT_PRINTERS": f"bench={server.uri}"}
        by_name = issued.run("printers", "bench", "--template", "nameplate-60x22", environment=named)
        by_address = issued.run("printers", server.uri)
    assert by_name.status == by_address.status == 0
    assert by_name.out.startswith("bench idle (media-low-warning) takes application/pdf dots 203 an inch")
    assert "nameplate-60x22 goes there as application/pdf on 60 × 22 mm" in by_name.out
    assert "takes 60 × 22 mm" in by_address.out


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (("bench",), "printer_unknown"),
        (("http://labels.example/",), "bad_printer_address"),
        ((f"ipp://127.0.0.1:{free_port()}/",), "printer_unreachable"),
        (("bench", "--template", "none"), "template_unknown"),
    ],
)
def test_what_is_wrong_is_said(issued: Terminal, arguments: tuple[str, ...], code: str) -> None:
    done = issued.run("printers", *arguments)
    assert done.status == 1
    assert code in done.err


def test_a_setting_that_is_wrong_stops_every_command(issued: Terminal) -> None:
    done = issued.run("printers", environment={"KITWRIGHT_PRINTERS": "bench=http://labels.example/"})
    assert done.status == 1
    assert "KITWRIGHT_PRINTERS" in done.err


def test_a_nameplate_is_written_as_data(issued: Terminal) -> None:
    done = issued.run("nameplate-data", NUMBER_U3, "--out", "plate.json")
    assert done.status == 0
    assert "Street is not on record. Put the street of the shop on record." in done.out
    written = json.loads((issued.folder / "plate.json").read_text(encoding="utf-8"))
    assert [one["idShort"] for one in written["submodels"]] == ["Nameplate"]
    assert issued.run("nameplate-data", "nothing", "--out", "other.json").status == 1
    assert not (issued.folder / "other.json").exists()
