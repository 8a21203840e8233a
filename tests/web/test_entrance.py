"""Who gets in, and what a stranger sees behind a scanned code."""

from __future__ import annotations

import pytest

from tests.demo_data import SHOP_NAME, TELEPHONE
from tests.web.conftest import OWNER_KEY, Desk
from tests.web.parts import a_piece

INSIDE = [
    "/",
    "/shop",
    "/shop/new-kit",
    "/shop/details",
    "/shop/cut-files",
    "/shop/kits/OSV4-FC1-A500",
    "/floor",
    "/desk",
    "/desk?mark=OSV4",
    "/desk/reorders",
    "/desk/segments/OSV4-FC1-A500-SW2-U3-42",
    "/desk/segments/OSV4-FC1-A500-SW2-U3-42/engraving.svg",
]
FORMS = [
    "/shop/prepare",
    "/shop/issue",
    "/shop/cut-files",
    "/shop/details",
    "/shop/kits/OSV4-FC1-A500/nameplates.pdf",
    "/shop/kits/OSV4-FC1-A500/engraving.zip",
    "/desk/segments/OSV4-FC1-A500-SW2-U3-42/nameplate.pdf",
    "/desk/segments/OSV4-FC1-A500-SW2-U3-42/engraving.dxf",
    "/desk/reorders/1/packet.zip",
    "/desk/reorders/1/fitted",
    "/desk/reorders/1/cancelled",
    "/shop/cut-files/osv4-fc1-a500-sw2-u3.dxf/revisions/B/withdraw",
]


@pytest.mark.parametrize("path", INSIDE)
def test_a_stranger_is_led_to_the_sign_in_page_and_back_again(guarded: Desk, path: str) -> None:
    answer = guarded.client.get(path)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in?next=%2F")


@pytest.mark.parametrize("path", FORMS)
def test_a_stranger_can_send_no_form(guarded: Desk, path: str) -> None:
    answer = guarded.client.post(path, data={"reason": "because", "manifest": "{}"})
    assert answer.status_code == 401
    assert "Sign in with the owner key" in answer.text


def test_signing_in_with_the_owner_key_opens_the_desks(guarded: Desk) -> None:
    wrong = guarded.client.post("/sign-in", data={"owner_key": "wrong-key", "next": "/shop"})
    assert wrong.status_code == 401
    assert "wrong-key" not in wrong.text
    right = guarded.client.post("/sign-in", data={"owner_key": OWNER_KEY, "next": "/shop"})
    assert right.headers["location"] == "/shop"
    cookie = right.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert OWNER_KEY not in cookie
    assert guarded.client.get("/shop").status_code == 200
    assert "Sign out" in guarded.client.get("/shop").text
    guarded.client.post("/sign-out")
    assert guarded.client.get("/shop").status_code == 303


def test_signing_in_leads_nowhere_else(guarded: Desk) -> None:
    answer = guarded.client.post("/sign-in", data={"owner_key": OWNER_KEY, "next": "//elsewhere.example/"})
    assert answer.headers["location"] == "/"
    guarded.client.cookies.clear()


def test_without_an_owner_key_nobody_is_asked_for_it(desk: Desk) -> None:
    assert desk.client.get("/").status_code == 200
    assert desk.client.get("/sign-in").headers["location"] == "/"
    assert "Sign out" not in desk.client.get("/").text


@pytest.mark.parametrize("way", ["/s/", "/S/"])
def test_a_stranger_sees_behind_a_code_what_the_nameplate_shows(guarded: Desk, way: str) -> None:
    piece = a_piece(guarded.workshop)
    answer = guarded.client.get(way + piece.key)
    assert answer.status_code == 200
    for shown in ("500 mL", "A500", "discharge star wheel", "SW2-U3", SHOP_NAME, TELEPHONE, "lock it out"):
        assert shown in answer.text.replace("\u00a0", " ")
    for hidden in (
        "Tarnquill",
        "Ostrey",
        "line 4",
        "filler-capper",
        ".dxf",
        "UHMW",
        "<path",
        "SW2-U4",
        "/desk/segments",
    ):
        assert hidden not in answer.text


def test_signed_in_people_see_more_behind_a_code(desk: Desk) -> None:
    piece = a_piece(desk.workshop)
    text = desk.client.get(f"/s/{piece.key.lower()}").text
    for shown in ("Tarnquill Waters", "line 4", "osv4-fc1-a500-sw2-u3.dxf", "<path", "SW2-U4", "Order this segment"):
        assert shown in text


def test_a_code_that_is_not_on_record_says_so(guarded: Desk) -> None:
    answer = guarded.client.get("/s/22222224")
    assert answer.status_code in (404, 422)
    assert "<h1>" in answer.text
    assert "Tarnquill" not in answer.text
