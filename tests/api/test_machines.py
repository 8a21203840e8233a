"""Machines over HTTP: the calls, their links and statuses, and retries."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.app import close_workshop, open_workshop
from service.settings import Settings
from service.store.database import Database
from tests.api.conftest import client_of
from tests.small_kit import NUMBER_U3, as_bytes, issue_small, manifest, release_all, segment

ANY = {"If-Match": "*"}
PITCH = {"pitch_mm": {"value": 104.72, "grade": "measured"}}


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
    yield client_of(settings, workshop)
    close_workshop(workshop)


def second_machine() -> bytes:
    """A kit for a second machine of line 4."""
    parts = {"SW2": [segment("SW2-U4")]}
    return as_bytes(manifest(segments=parts, machine={"class": "FC", "ordinal": 2}, container={"code": "A500"}))


def test_the_line_in_february_and_the_line_in_april_both_find_the_machine(client: TestClient) -> None:
    moved = client.post("/api/machines/osv4-fc1/placements", json={"line": 7, "since": "2026-03-15"})
    assert (moved.status_code, moved.json()["stands_on"]["line_ordinal"]) == (201, 7)
    for line, on in (("4", "2026-02-15"), ("7", "2026-04-15T12:00:00Z"), ("line 7", "2026-03-15")):
        answer = client.get("/api/machines", params={"plant": "OSV", "line": line, "on": on}).json()
        assert [row["designation"] for row in answer["machines"]] == ["OSV4-FC1"]
    assert client.get("/api/machines?plant=OSV&line=4&on=2026-04-15").json()["machines"] == []
    machine = client.get("/api/machines/OSV4-FC1?on=2026-02-15").json()
    assert (machine["stood"]["place"]["line_ordinal"], machine["born_on"]["line_ordinal"]) == (4, 4)
    assert [event["verb"] for event in client.get("/api/machines/OSV4-FC1/history").json()["events"]] == ["move"]


def test_a_number_of_a_machine_that_moved_says_where_that_is_now_and_where_it_was_born(client: TestClient) -> None:
    client.post("/api/machines/OSV4-FC1/placements", json={"line": 7, "line_name": "hall B", "since": "2026-03-15"})
    read = client.get("/api/read", params={"mark": "0sv4 fc1 a5oo 5w2 u3 42"}).json()
    assert (read["outcome"], read["number"]) == ("repaired", NUMBER_U3)
    machine = client.get(f"/api/segments/{NUMBER_U3}").json()["machine"]
    assert (machine["designation"], machine["born_on"], machine["now_on"]) == ("OSV4-FC1", "line 4", "hall B")
    kit = client.get("/api/kits/OSV4-FC1-A500").json()
    assert (kit["line"], kit["line_now"]) == ("line 4", "hall B")
    client.post("/api/machines/OSV4-FC1/placements", json={"line": None, "since": "2026-06-01"})
    assert client.get(f"/api/segments/{NUMBER_U3}").json()["machine"]["now_on"] is None


def test_a_survey_that_disagrees_with_itself_is_kept_and_says_so(client: TestClient) -> None:
    """24 pockets at 104.72 mm: 24 × 104.72 ÷ π = 800.002 mm, by hand."""
    stated = {**PITCH, "pocket_count": {"value": 24, "grade": "measured"}}
    answers = [
        client.post(
            "/api/machines/OSV4-FC1/surveys",
            json={**stated, "pitch_diameter_mm": {"value": diameter, "grade": "from_drawing"}},
        )
        for diameter in (800.4, 810.0)
    ]
    assert [answer.status_code for answer in answers] == [201, 201]
    assert answers[0].json()["findings"] == []
    (finding,) = answers[1].json()["findings"]
    assert (finding["code"], finding["level"]) == ("survey_disagrees", "warning")
    assert "give a pitch diameter of 800.00 mm, 10.00 mm from this one" in finding["message"]
    machine = client.get("/api/machines/OSV4-FC1").json()
    assert [len(survey["findings"]) for survey in machine["surveys"]] == [0, 1]
    assert machine["findings"] == machine["surveys"][1]["findings"]


@pytest.mark.parametrize(
    ("method", "address", "body", "status", "code"),
    [
        ("GET", "/api/machines/OSV4-FC9", None, 404, "machine_unknown"),
        ("GET", "/api/machines/nothing", None, 422, "bad_number"),
        ("GET", "/api/machines?plant=XYW", None, 404, "place_unknown"),
        ("GET", "/api/machines?on=yesterday", None, 422, "bad_fields"),
        ("GET", "/api/machines?plant=%00", None, 422, "bad_fields"),
        ("GET", "/api/machines/%00", None, 422, "bad_character"),
        ("GET", "/api/plants/%00/names", None, 422, "bad_fields"),
        ("GET", "/api/machines?after=OSV9-FC9", None, 422, "bad_request"),
        ("POST", "/api/machines/OSV4-FC1/placements", {}, 422, "bad_fields"),
        ("POST", "/api/machines/OSV4-FC1/placements", {"line": 0}, 422, "bad_fields"),
        ("POST", "/api/machines/OSV4-FC1/placements", {"line": "hall \0"}, 422, "bad_fields"),
        ("POST", "/api/machines/OSV4-FC1/placements", {"line": 7, "note": "\0"}, 422, "bad_fields"),
        ("POST", "/api/machines/OSV4-FC1/placements", {"line": 4}, 409, "contradiction"),
        ("POST", "/api/machines/OSV4-FC1/placements", {"line": 7, "since": "2999-01-01"}, 422, "bad_request"),
        ("POST", "/api/machines/OSV4-FC1/surveys", {}, 422, "bad_fields"),
        ("POST", "/api/machines/OSV4-FC9/surveys", PITCH, 404, "machine_unknown"),
        ("POST", "/api/kits/OSV4-FC1-A500/reuse-checks", {}, 409, "contradiction"),
        ("POST", "/api/kits/OSV4-FC1-C500/reuse-checks", {}, 404, "kit_unknown"),
        ("POST", "/api/plants/XYW/names", {"name": "Elsewhere"}, 404, "place_unknown"),
        ("POST", "/api/plants/OSV/lines/9/names", {"name": "hall 9"}, 404, "place_unknown"),
        ("POST", "/api/plants/OSV/lines/0/names", {"name": "hall 0"}, 422, "bad_fields"),
        ("POST", "/api/plants/OSV/names", {"name": "Ostrey Vale"}, 409, "contradiction"),
        ("POST", "/api/same-interfaces/7/withdrawal", {"reason": "measured"}, 404, "same_interface_unknown"),
        ("POST", f"/api/same-interfaces/{2**31}/withdrawal", {"reason": "measured"}, 422, "bad_fields"),
    ],
)
def test_what_cannot_be_is_answered_with_a_problem(
    client: TestClient, method: str, address: str, body: dict[str, object] | None, status: int, code: str
) -> None:
    answer = client.request(method, address, json=body, headers=ANY)
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert answer.json()["todo"].endswith(".")


def test_surveys_checks_names_and_words_over_http(client: TestClient) -> None:
    headers = {"Idempotency-Key": '"survey-1"'}
    once, again = (client.post("/api/machines/OSV4-FC1/surveys", json=PITCH, headers=headers) for _ in range(2))
    assert (once.status_code, once.json()) == (201, again.json())
    assert once.json()["check_before_reuse"] == ["OSV4-FC1-A500"]
    assert len(client.get("/api/kits/OSV4-FC1-A500").json()["check_before_reuse"]) == 1
    checked = client.post("/api/kits/OSV4-FC1-A500/reuse-checks", json={"note": "runs"})
    assert (checked.status_code, checked.json()["check_before_reuse"]) == (201, [])
    named = client.post("/api/plants/OSV/lines/4/names", json={"name": "hall B", "since": "2026-05-01"}, headers=ANY)
    assert (named.status_code, named.json()["name"]) == (201, "hall B")
    assert client.get("/api/plants/osv/lines/4/names").json() == named.json()
    assert client.post("/api/plants/OSV/names", json={"name": "Ostrey Works"}, headers=ANY).status_code == 201
    names = client.get("/api/plants/OSV/names").json()["names"]
    assert [row["name"] for row in names] == ["Ostrey Vale", "Ostrey Works"]
    assert client.post("/api/kits", content=second_machine()).status_code == 201
    word = {"machines": ["OSV4-FC1", "OSV4-FC2"], "assemblies": ["SW2"], "interface": "hub bore"}
    said = client.post("/api/same-interfaces", json=word)
    assert (said.status_code, said.json()["same_interfaces"][0]["assembly"]) == (201, "SW2")
    withdrawn = client.post("/api/same-interfaces/1/withdrawal", json={"reason": "measured again"})
    assert (withdrawn.status_code, withdrawn.json()["withdrawn_reason"]) == (200, "measured again")


def test_a_long_list_leads_on(client: TestClient) -> None:
    client.post("/api/kits", content=second_machine())
    first = client.get("/api/machines?plant=OSV&line=4&limit=1")
    assert [row["designation"] for row in first.json()["machines"]] == ["OSV4-FC1"]
    rest = client.get(first.links["next"]["url"])
    assert [row["designation"] for row in rest.json()["machines"]] == ["OSV4-FC2"]
    assert "next" not in rest.links
