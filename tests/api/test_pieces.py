"""Sets and pieces over HTTP: the calls, their statuses, their codes, and retries."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.app import close_workshop, make_app, open_workshop
from service.settings import Settings
from service.store.database import Database
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, issue_small, release, release_all, segment

KIT, GUEST = "OSV4-FC1-A500", "OSV4-FC1-C330"


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
    container = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    issue_small(workshop, container=container, segments={"SW2": [segment("SW2-U4")]})
    release(workshop, "SW2-U3", revision="A", joints_changed="SW2-U4")
    yield TestClient(make_app(settings, workshop), base_url="http://127.0.0.1:8000")
    close_workshop(workshop)


def test_a_set_is_prepared_refused_and_made_once(client: TestClient) -> None:
    address = f"/api/kits/{KIT.lower()}/sets"
    prepared = client.post(f"{address}?prepare=true", json={})
    assert (prepared.status_code, prepared.json()["status"]) == (200, "refused")
    assert prepared.json()["findings"][0]["code"] == "joint_does_not_lock"
    refused = client.post(address, json={})
    assert (refused.status_code, refused.json()["code"]) == (422, "joint_does_not_lock")
    body = {"revisions": {"SW2-U3": "-"}, "material_batch": "PE-2207", "made_at": "2026-03-02"}
    made = client.post(address, json=body, headers={"Idempotency-Key": '"set two"'})
    assert (made.status_code, made.json()["set"]) == (201, 2)
    again = client.post(address, json=body, headers={"Idempotency-Key": "set two"})
    assert again.json() == made.json()
    other = client.post(address, json={}, headers={"Idempotency-Key": "set two"})
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_mismatch")
    sets = client.get(address).json()["sets"]
    assert [(one["set"], one["fitted"], one["material_batch"]) for one in sets] == [(1, 45, None), (2, 45, "PE-2207")]
    printed = client.get(f"/api/kits/{KIT}/nameplates.pdf?set=2")
    assert printed.content.startswith(b"%PDF")
    missing = client.get(f"/api/kits/{KIT}/nameplates.pdf?set=3")
    assert (missing.status_code, missing.json()["code"]) == (404, "set_unknown")


def test_pieces_are_tracked_reworked_and_scrapped(client: TestClient) -> None:
    tracked = client.post(f"/api/segments/{NUMBER_PLATES}/pieces", json={"track": 5})
    assert (tracked.status_code, len(tracked.json()["new_keys"])) == (201, 5)
    key = tracked.json()["new_keys"][0]
    piece = client.get(f"/api/pieces/{key.lower()}").json()
    assert (piece["number"], piece["revision"], piece["condition"]) == (NUMBER_PLATES, "-", "fitted")
    reworked = client.post(f"/api/pieces/{key}/deviations", json={"deviation": "edge rounded"})
    assert reworked.json()["deviations"] == "edge rounded"
    scrapped = client.post(f"/api/pieces/{key}/scrapped", json={"kind": "broken", "note": "jam"})
    assert (scrapped.json()["end"], scrapped.json()["end_note"]) == ("broken", "jam")
    for address, status, code in (
        (f"/api/pieces/{key}/scrapped", 409, "piece_gone"),
        (f"/api/pieces/{client.get(f'/api/segments/{NUMBER_PLATES}').json()['key']}/scrapped", 404, "piece_unknown"),
        ("/api/pieces/K7M4XRAW/scrapped", 404, "mark_unknown"),
    ):
        answer = client.post(address, json={"kind": "lost"})
        assert (answer.status_code, answer.json()["code"]) == (status, code)
    too_many = client.post(f"/api/segments/{NUMBER_PLATES}/scrapped", json={"kind": "worn", "count": 36})
    assert (too_many.status_code, too_many.json()["code"]) == (409, "too_few_pieces")
    counted = client.post(f"/api/segments/{NUMBER_PLATES}/scrapped", json={"kind": "worn", "count": 2})
    assert sum(one["count"] for one in counted.json()["pieces"]) == 40
    wrong = client.post(f"/api/pieces/{key}/scrapped", json={"kind": "vanished"})
    assert (wrong.status_code, wrong.json()["code"]) == (422, "bad_fields")


def test_a_shared_part_holds_its_kit_and_a_retired_kit_wants_a_reason(client: TestClient) -> None:
    shared = client.post(f"/api/kits/{GUEST}/shared", json={"number": NUMBER_PLATES})
    assert shared.json()["segments"][-1]["status"] == "shared"
    held = client.post(f"/api/kits/{KIT}/retirement", json={"reason": "bottle is gone"})
    assert (held.status_code, held.json()["code"]) == (409, "segment_shared")
    assert GUEST in held.json()["detail"]
    back = client.post(f"/api/kits/{GUEST}/unshared", json={"number": NUMBER_PLATES, "reason": "own one made"})
    assert back.status_code == 200
    etag = client.get(f"/api/kits/{KIT}").headers["etag"]
    retired = client.post(f"/api/kits/{KIT}/retirement", json={"reason": "bottle is gone"})
    assert (retired.json()["status"], retired.json()["retired_reason"]) == ("retired", "bottle is gone")
    assert client.get(f"/api/kits/{KIT}").headers["etag"] != etag
    assert client.get("/api/read", params={"mark": NUMBER_U3}).json()["outcome"] == "exact"
    for address in (
        f"/api/segments/{NUMBER_U3}/nameplate.svg",
        f"/api/segments/{NUMBER_U3}/engraving.dxf",
        f"/api/kits/{KIT}/nameplates.pdf",
        f"/api/kits/{KIT}/engraving.zip",
    ):
        refused = client.get(address)
        assert (refused.status_code, refused.json()["code"]) == (409, "kit_retired")
        assert client.get(address, params={"override": "museum piece"}).status_code == 200
    order = {"mark": NUMBER_U3, "reason": "crushed"}
    assert client.post("/api/reorders", json=order).json()["code"] == "kit_retired"
    made = client.post("/api/reorders", json={**order, "override": "museum piece"})
    assert (made.status_code, made.json()["override"]) == (201, "museum piece")
