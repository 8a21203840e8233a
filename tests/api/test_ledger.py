"""The ledger over HTTP: its tip, what a verification names, and who may ask."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pydantic import SecretStr

from service.app import make_app
from service.settings import Settings

KEY = "a-long-owner-key"
HEADERS = {"Authorization": f"Bearer {KEY}"}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The database's file."""
    return tmp_path / "kitwright.db"


@pytest.fixture
def client(path: Path, tmp_path: Path) -> Iterator[TestClient]:
    """The whole service over an empty shop, with two events in its ledger."""
    settings = Settings(
        database_url=f"sqlite:///{path}",
        vault_url=str(tmp_path / "vault"),
        owner_key=SecretStr(KEY),
        render_workers=0,
    )
    with TestClient(make_app(settings), base_url="http://127.0.0.1:8000") as client:
        for telephone in ("555 0100", "555 0101"):
            body = {"name": "Change parts shop", "address": "Mill Lane 3", "telephone": telephone}
            assert client.put("/api/shop", json=body, headers={**HEADERS, "If-Match": "*"}).status_code == 200
        yield client


def test_the_tip_is_what_a_later_verification_takes(client: TestClient) -> None:
    tip = client.get("/api/ledger/tip", headers=HEADERS).json()
    assert tip["id"] == 2
    assert tip["tip"] == f"{tip['sha256']}:2"
    answer = client.get("/api/ledger/verification", params={"tip": tip["tip"]}, headers=HEADERS).json()
    assert answer == {"whole": True, "rows": 2, "tip": tip, "anchors": [tip["tip"]], "fault_count": 0, "faults": []}


def test_a_changed_row_is_named(client: TestClient, path: Path) -> None:
    tip = client.get("/api/ledger/tip", headers=HEADERS).json()["tip"]
    with closing(sqlite3.connect(path, isolation_level=None)) as foreign:
        foreign.execute("DROP TRIGGER event_never_changed")
        foreign.execute("UPDATE event SET actor = 'nobody' WHERE id = 1")
    response = client.get("/api/ledger/verification", params={"tip": [tip, f"{'ab' * 32}:5"]}, headers=HEADERS)
    assert response.status_code == 200
    answer = response.json()
    assert not answer["whole"]
    assert [(fault["id"], fault["kind"]) for fault in answer["faults"]] == [(1, "changed"), (3, "cut_off")]
    assert answer["faults"][0]["message"] == "row 1 does not say what it said when it was written"


def test_what_is_no_tip_is_a_problem_with_its_field(client: TestClient) -> None:
    response = client.get("/api/ledger/verification?tip=yesterday", headers=HEADERS)
    assert response.status_code == 422
    assert response.json()["code"] == "bad_request"
    assert (response.json()["field"], response.json()["value"]) == ("tip", "yesterday")
    many = client.get("/api/ledger/verification", params={"tip": ["x"] * 101}, headers=HEADERS)
    assert (many.status_code, many.json()["code"]) == (422, "bad_fields")


@pytest.mark.parametrize("address", ["/api/ledger/tip", "/api/ledger/verification"])
def test_the_ledger_is_behind_the_owner_key(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 401
    assert client.post(address, headers=HEADERS).status_code == 405
