"""Proving marks over HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.app import close_workshop, make_app, open_workshop
from service.settings import Settings
from service.store.database import Database
from tests.small_kit import NUMBER_U3, NUMBER_U4, issue_small, release_all

KIT = "OSV4-FC1-A500"


@pytest.fixture
def client(database: Database, tmp_path: Path) -> Iterator[TestClient]:
    """The whole service over the small kit, on each kind of database."""
    settings = Settings(
        database_url=database.url.render_as_string(hide_password=False),
        vault_url=str(tmp_path / "vault"),
        render_workers=0,
    )
    workshop = open_workshop(settings)
    release_all(workshop)
    issue_small(workshop)
    yield TestClient(make_app(settings, workshop), base_url="http://127.0.0.1:8000")
    close_workshop(workshop)


def test_a_piece_is_proved_once_however_often_it_is_sent(client: TestClient) -> None:
    address = f"/api/kits/{KIT.lower()}/inspections"
    (row,) = [one for one in client.get(address).json()["pieces"] if one["number"] == NUMBER_U3]
    assert row["state"] == "open"
    body = {"plate": f"{row['key'][:4]}-{row['key'][4:]}", "engraving": NUMBER_U3, "engraved_revision": "-"}
    first = client.post(address, json=body, headers={"Idempotency-Key": '"u3"'})
    assert (first.status_code, first.json()["verdict"]) == (201, "right")
    assert client.post(address, json=body, headers={"Idempotency-Key": "u3"}).json() == first.json()
    proof = client.get(address).json()
    assert (proof["right"], proof["wrong"]) == (1, 0)
    wrong = client.post(address, json={**body, "engraving": NUMBER_U4})
    assert (wrong.status_code, wrong.json()["verdict"]) == (201, "wrong")
    assert client.get(address).json()["wrong"] == 1


def test_what_cannot_be_compared_is_refused(client: TestClient) -> None:
    address = f"/api/kits/{KIT}/inspections"
    unknown = client.post(address, json={"plate": "MRG1-LB1-A12-SW1-U1-02"})
    assert (unknown.status_code, unknown.json()["field"]) == (404, "plate")
    thin = client.post(address, json={"plate": NUMBER_U3, "thickness_mm": 0})
    assert (thin.status_code, thin.json()["field"]) == (422, "thickness_mm")
    missing = client.get(f"{address}?set=7")
    assert (missing.status_code, missing.json()["code"]) == (404, "set_unknown")
