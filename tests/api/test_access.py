"""Who gets in: the owner key, the name the service is called by, the page that calls."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.errors import UnsafeSetting
from service.settings import Settings, read_settings
from tests.api.conftest import BASE, OWNER_KEY
from tests.faults.processes import NotReady, Service, free_port


def test_bound_to_loopback_without_a_key_it_is_open(visitor: TestClient) -> None:
    assert visitor.get("/api/kits").status_code == 200


@pytest.mark.parametrize("path", ["/api/kits", "/api/read?mark=K7M4XRAW", "/metrics", "/openapi.json"])
def test_with_a_key_the_api_asks_for_it(guarded: TestClient, issued: KitAnswer, path: str) -> None:
    answer = guarded.get(path)
    assert (answer.status_code, answer.json()["code"]) == (401, "not_signed_in")
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")
    wrong = guarded.get(path, headers={"Authorization": f"Bearer {OWNER_KEY}x"})
    assert wrong.status_code == 401
    assert OWNER_KEY not in wrong.text
    assert guarded.get(path, headers={"Authorization": f"Bearer {OWNER_KEY}"}).status_code == 200


@pytest.mark.parametrize("path", ["/healthz", "/readyz", "/sign-in"])
def test_what_is_open_to_everybody(guarded: TestClient, path: str) -> None:
    assert guarded.get(path).status_code == 200


def test_pages_lead_to_the_sign_in_and_a_ticket_opens_the_api_too(guarded: TestClient) -> None:
    assert guarded.get("/shop").headers["location"].startswith("/sign-in")
    signed = guarded.post("/sign-in", data={"owner_key": OWNER_KEY, "next": "/shop"})
    assert signed.headers["location"] == "/shop"
    assert guarded.get("/shop").status_code == 200
    assert guarded.get("/api/kits").status_code == 200


def test_behind_a_scanned_code_everybody_sees_what_the_plate_shows_and_nothing_else(
    guarded: TestClient, issued: KitAnswer
) -> None:
    kit = guarded.get("/api/kits/OSV4-FC1-A500", headers={"Authorization": f"Bearer {OWNER_KEY}"}).json()
    row = kit["segments"][2]
    page = guarded.get(f"/s/{row['pieces'][0]['key'].lower()}")
    assert page.status_code == 200
    text = re.sub(r"<[^>]+>", " ", page.text)
    assert "tall round 500 mL" in text
    assert row["place"] in text
    for secret in (row["cut_file"], "Order this segment", "Journal", "Tarnquill Waters", "OSV4-FC1-A500-SW2-U4-39"):
        assert secret not in text


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "localhost.evil.example:8000"])
def test_a_foreign_name_is_refused(visitor: TestClient, host: str) -> None:
    answer = visitor.get("/api/kits", headers={"Host": host})
    assert (answer.status_code, answer.json()["code"]) == (403, "foreign_host")


@pytest.mark.parametrize("host", ["127.0.0.1:8000", "localhost:8000", "LOCALHOST", "[::1]:8000"])
def test_its_own_names_are_taken(visitor: TestClient, host: str) -> None:
    assert visitor.get("/api/kits", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "https://127.0.0.1:9"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
def test_a_page_of_another_site_may_not_call(visitor: TestClient, headers: dict[str, str]) -> None:
    for answer in (visitor.get("/api/kits", headers=headers), visitor.post("/shop/prepare", headers=headers)):
        assert (answer.status_code, answer.json()["code"]) == (403, "foreign_origin")
    assert visitor.get("/shop", headers=headers).status_code == 200


def test_its_own_pages_may_call(visitor: TestClient) -> None:
    assert visitor.get("/api/kits", headers={"Origin": BASE, "Sec-Fetch-Site": "same-origin"}).status_code == 200


def test_open_to_others_without_a_key_it_refuses_to_start_and_says_why() -> None:
    service = Service(port=free_port(), environment={"KITWRIGHT_HOST": "0.0.0.0"})  # noqa: S104 - refused, as it should be
    with pytest.raises(NotReady, match="ended"):
        service.wait_until_ready()
    assert service.wait() == 1
    said = " ".join(service.output.split())
    assert "KITWRIGHT_HOST" in said
    assert "Set KITWRIGHT_OWNER_KEY" in said


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("KITWRIGHT_PORT", "port"),
        ("KITWRIGHT_PORT", "70000"),
        ("KITWRIGHT_PUBLIC_URL", "ftp://parts.example"),
        ("KITWRIGHT_PUBLIC_URL", "parts.example"),
        ("KITWRIGHT_RENDER_WORKERS", "-1"),
    ],
)
def test_a_wrong_setting_is_named(monkeypatch: pytest.MonkeyPatch, name: str, value: str) -> None:
    monkeypatch.setenv(name, value)
    with pytest.raises(UnsafeSetting) as caught:
        read_settings()
    assert caught.value.field == name
    assert value in str(caught.value)


def test_the_link_in_the_codes() -> None:
    assert Settings(port=8123).link_url == "http://127.0.0.1:8123"
    assert Settings(host="::1", port=8123).link_url == "http://[::1]:8123"
    assert Settings(public_url="https://parts.example/").link_url == "https://parts.example"
    assert "parts.example" in Settings(public_url="https://parts.example/").host_names
