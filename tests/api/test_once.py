"""Retries are safe: the same request with the same Idempotency-Key gives the same answer and does nothing twice.

After draft-ietf-httpapi-idempotency-key-header (an internet draft): the key travels as a quoted string (section 2.1);
a key that comes again with another payload is answered 422 (section 2.7).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from pathlib import Path

import httpx2
import pytest
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.settings import Settings
from service.store.database import Database
from tests.api.conftest import KIT, Look, client_of, look_at, opened, workshop_over
from tests.api.problem_documents import problem_of
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, file_of, issue_small, make_dxf, manifest

Send = Callable[[TestClient, dict[str, str]], httpx2.Response]
SECOND = {"class": "FC", "ordinal": 2}
CORRECTION = {"reason": "typed wrong", "correct": [{"number": NUMBER_U3, "facts": {"hand": "LEFT"}}]}


def posts(path: str, body: object) -> Send:
    return lambda client, headers: client.post(path, json=body, headers={"If-Match": "*", **headers})


def uploads(data: bytes, *, revision: str = "A", note: str = "") -> Send:
    return lambda client, headers: client.post(
        f"/api/cut-files/{file_of('SW2-U3')}/revisions",
        files={"file": ("x.dxf", data)},
        data={"revision": revision, "note": note},
        headers=headers,
    )


# What is sent, and the same call with another payload.
CREATING: dict[str, tuple[Send, Send]] = {
    "kit": (
        posts("/api/kits", manifest(machine=SECOND)),
        posts("/api/kits", manifest(machine=SECOND, stock_colour="blue")),
    ),
    "revision": (uploads(make_dxf(hole_mm=30.0)), uploads(make_dxf(hole_mm=31.0))),
    "note of a revision": (uploads(make_dxf(), note="wider"), uploads(make_dxf(), note="narrower")),
    "withdrawal": (
        posts(f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/withdrawal", {"reason": "bore too small"}),
        posts(f"/api/cut-files/{file_of('SW2-U3')}/revisions/-/withdrawal", {"reason": "bore too wide"}),
    ),
    "correction": (
        posts(f"/api/kits/{KIT}/corrections", CORRECTION),
        posts(f"/api/kits/{KIT}/corrections", {**CORRECTION, "reason": "typed wrongly"}),
    ),
    "voiding": (
        posts(f"/api/kits/{KIT}/corrections", {"reason": "cut in two", "void": [{"number": NUMBER_U3}]}),
        posts(f"/api/kits/{KIT}/corrections", {"reason": "cut in two", "void": [{"number": NUMBER_U4}]}),
    ),
    "reorder": (
        posts("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"}),
        posts("/api/reorders", {"mark": NUMBER_U3, "reason": "worn"}),
    ),
    "fitted": (
        posts("/api/reorders/1/fitted", {}),
        posts("/api/reorders/1/fitted", {"deviations": "slot opened"}),
    ),
    "cancelled": (
        posts("/api/reorders/1/cancelled", {"reason": "not wanted"}),
        posts("/api/reorders/1/cancelled", {"reason": "ordered twice"}),
    ),
    "move": (
        posts("/api/machines/OSV4-FC1/placements", {"line": "7"}),
        posts("/api/machines/OSV4-FC1/placements", {"line": "9"}),
    ),
    "survey": (
        posts("/api/machines/OSV4-FC1/surveys", {"pitch_mm": {"value": 104.72, "grade": "measured"}}),
        posts("/api/machines/OSV4-FC1/surveys", {"pitch_mm": {"value": 104.73, "grade": "measured"}}),
    ),
    "name of a plant": (
        posts("/api/plants/OSV/names", {"name": "Ostrey Works"}),
        posts("/api/plants/OSV/names", {"name": "Ostrey Mill"}),
    ),
    "name of a line": (
        posts("/api/plants/OSV/lines/4/names", {"name": "hall B"}),
        posts("/api/plants/OSV/lines/4/names", {"name": "hall C"}),
    ),
    "set": (
        posts(f"/api/kits/{KIT}/sets", {"material_batch": "PE-2207"}),
        posts(f"/api/kits/{KIT}/sets", {"material_batch": "PE-2208"}),
    ),
    "retirement": (
        posts(f"/api/kits/{KIT}/retirement", {"reason": "bottle is gone"}),
        posts(f"/api/kits/{KIT}/retirement", {"reason": "worn out"}),
    ),
    "tracking": (
        posts(f"/api/segments/{NUMBER_PLATES}/pieces", {"track": 2}),
        posts(f"/api/segments/{NUMBER_PLATES}/pieces", {"track": 3}),
    ),
    "scrap of a count": (
        posts(f"/api/segments/{NUMBER_PLATES}/scrapped", {"kind": "worn", "count": 2}),
        posts(f"/api/segments/{NUMBER_PLATES}/scrapped", {"kind": "worn", "count": 3}),
    ),
    "legacy mark": (
        posts("/api/aliases", {"kind": "machine", "of": "OSV4-FC1", "text": "Abfüller 2"}),
        posts("/api/aliases", {"kind": "machine", "of": "OSV4-FC1", "text": "Abfüller 3"}),
    ),
    "code": (
        posts("/api/codes", {"table": "assembly", "code": "QW", "name": "turret plate"}),
        posts("/api/codes", {"table": "assembly", "code": "QW", "name": "turret"}),
    ),
}


@pytest.fixture
def ordered(client: TestClient, issued: KitAnswer) -> TestClient:
    """One reorder is open."""
    assert client.post("/api/reorders", json={"mark": NUMBER_U4, "reason": "crushed"}).json()["id"] == 1
    return client


def test_every_call_that_creates_takes_the_key(client: TestClient) -> None:
    paths = client.get("/openapi.json").json()["paths"]
    without = [
        path
        for path, methods in paths.items()
        if "post" in methods
        and not any(parameter["name"] == "Idempotency-Key" for parameter in methods["post"].get("parameters", ()))
    ]
    # Reading creates nothing, nor does looking at a template; and of two who resume a print job one is refused.
    assert set(without) == {
        "/api/read",
        "/api/read/picture",
        "/api/search",
        "/api/templates/lint",
        "/api/print-jobs/{job_id}/resume",
    }


@pytest.mark.parametrize("name", CREATING)
def test_the_second_time_nothing_is_done_and_the_answer_is_the_first(
    ordered: TestClient, on_record: Look, name: str
) -> None:
    send, send_other = CREATING[name]
    first = send(ordered, {"Idempotency-Key": "key-1"})
    assert first.is_success, first.text
    after = on_record()
    for key in ("key-1", '"key-1"', " key-1 "):
        again = send(ordered, {"Idempotency-Key": key})
        assert (again.status_code, again.json()) == (first.status_code, first.json())
        assert again.headers.get("Location") == first.headers.get("Location")
    assert problem_of(send_other(ordered, {"Idempotency-Key": "key-1"})).code == "idempotency_mismatch"
    assert on_record() == after


def test_without_a_key_the_work_is_done_each_time(ordered: TestClient) -> None:
    order = posts("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed", "also": "one more for the shelf"})
    assert [order(ordered, {}).json()["id"] for _ in range(2)] == [2, 3]
    assert [order(ordered, {"Idempotency-Key": key}).json()["id"] for key in ("", '""', "x", "y")] == [4, 5, 6, 7]


def test_one_key_for_two_calls_is_two_keys(ordered: TestClient) -> None:
    key = {"Idempotency-Key": "key-1"}
    assert posts("/api/reorders", {"mark": NUMBER_U3, "reason": "crushed"})(ordered, key).status_code == 201
    assert posts("/api/reorders/1/fitted", {})(ordered, key).json()["state"] == "fitted"
    assert posts("/api/reorders/2/fitted", {})(ordered, key).json()["id"] == 2


def test_a_refused_request_spends_no_key(client: TestClient, issued: KitAnswer) -> None:
    key = {"Idempotency-Key": "key-1"}
    assert problem_of(client.post("/api/kits", json=manifest(), headers=key)).code == "kit_exists"
    assert client.post("/api/kits", json=manifest(machine=SECOND), headers=key).status_code == 201


def test_a_key_too_long_is_refused(client: TestClient, on_record: Look) -> None:
    before = on_record()
    answer = client.post("/api/kits", json=manifest(), headers={"Idempotency-Key": "k" * 251})
    assert (problem_of(answer).code, problem_of(answer).field) == ("bad_fields", "Idempotency-Key")
    assert on_record() == before


def test_preparing_reserves_nothing_and_spends_no_key(client: TestClient, on_record: Look) -> None:
    before = on_record()
    key = {"Idempotency-Key": "key-1"}
    prepared = client.post("/api/kits?prepare=true", json=manifest(), headers=key).json()
    assert client.post("/api/kits?prepare=true", json=manifest(), headers=key).json() == prepared
    assert on_record() == before
    issued = client.post(f"/api/kits?token={prepared['token']}", json=manifest(), headers=key)
    assert (issued.status_code, issued.json()["token"]) == (201, None)
    keyless = [{**row, "key": None, "pieces": []} for row in issued.json()["segments"]]
    assert keyless == prepared["segments"]


def test_a_token_may_travel_in_the_manifest(client: TestClient) -> None:
    token = client.post("/api/kits?prepare=true", json=manifest()).json()["token"]
    assert problem_of(client.post("/api/kits", json=manifest(token=token, stock_colour="blue"))).code == "token_stale"
    assert client.post("/api/kits", json=manifest(token=token)).status_code == 201


@pytest.fixture
def crowded(database: Database, tmp_path: Path) -> Iterator[tuple[TestClient, Look]]:
    """A service that several ask at once, on each kind of database, and how much is on record behind it."""
    with workshop_over(database, tmp_path / "vault") as workshop:
        yield client_of(Settings(), workshop), look_at(workshop, tmp_path / "vault")


def assert_one_answer(answers: list[httpx2.Response]) -> None:
    """Whoever came while the first was at work was told so; everybody else got the one answer."""
    assert {answer.status_code for answer in answers} <= {201, 409}
    made = {answer.text for answer in answers if answer.status_code == 201}
    assert len(made) == 1
    assert {problem_of(answer).code for answer in answers if answer.status_code == 409} <= {"request_in_progress"}


def test_the_same_request_four_times_at_once_gives_one_kit(crowded: tuple[TestClient, Look]) -> None:
    client, look = crowded

    def send(_: int) -> httpx2.Response:
        return client.post("/api/kits", json=manifest(), headers={"Idempotency-Key": "key-1"})

    with ThreadPoolExecutor(4) as threads:
        assert_one_answer(list(threads.map(send, range(4))))
    assert ("kit", 1) in look()


def test_while_the_first_is_at_work_the_second_is_told_so(database: Database, tmp_path: Path) -> None:
    with workshop_over(database, tmp_path / "vault") as workshop, ThreadPoolExecutor(2) as threads:
        client = client_of(Settings(), workshop)

        def send(key: str) -> httpx2.Response:
            return client.post("/api/kits", json=manifest(), headers={"Idempotency-Key": key})

        with database.write():
            # No request can write now: of two equal ones, bare and quoted, one waits and the other is told so.
            running = {threads.submit(send, "key-1"), threads.submit(send, '"key-1"')}
            done, waiting = wait(running, timeout=25, return_when=FIRST_COMPLETED)
            (told,) = (future.result() for future in done)
            assert (told.status_code, problem_of(told).code) == (409, "request_in_progress")
        (first,) = (future.result(timeout=25) for future in waiting)
        assert first.status_code == 201
        assert send("key-1").json() == first.json()


def test_without_a_key_one_of_four_gets_the_kit(crowded: tuple[TestClient, Look]) -> None:
    client, look = crowded
    with ThreadPoolExecutor(4) as threads:
        answers = list(threads.map(lambda _: client.post("/api/kits", json=manifest()), range(4)))
    assert sorted(answer.status_code for answer in answers) == [201, 409, 409, 409]
    assert ("kit", 1) in look()


def test_the_same_release_four_times_at_once_is_one(crowded: tuple[TestClient, Look]) -> None:
    client, _look = crowded
    send = uploads(make_dxf(hole_mm=30.0))
    with ThreadPoolExecutor(4) as threads:
        assert_one_answer(list(threads.map(lambda _: send(client, {"Idempotency-Key": "key-1"}), range(4))))


@pytest.mark.parametrize("name", CREATING)
def test_the_first_answer_outlives_the_service(database: Database, tmp_path: Path, name: str) -> None:
    """On each kind of database: another process, after the one that did the work, gives the answer that it gave."""
    send, send_other = CREATING[name]
    key = {"Idempotency-Key": '"key-1"'}
    with workshop_over(database, tmp_path / "vault") as workshop:
        issue_small(workshop)
        client = client_of(Settings(), workshop)
        assert client.post("/api/reorders", json={"mark": NUMBER_U4, "reason": "crushed"}).json()["id"] == 1
        first = send(client, key)
        assert first.is_success, first.text
    database.close()
    url = database.url.render_as_string(hide_password=False)
    settings = Settings.model_validate({"database_url": url, "vault_url": str(tmp_path / "vault"), "render_workers": 0})
    with opened(settings) as workshop:
        look = look_at(workshop, tmp_path / "vault")
        before = look()
        client = client_of(settings, workshop)
        again = send(client, {"Idempotency-Key": "key-1"})
        assert (again.status_code, again.json()) == (first.status_code, first.json())
        assert problem_of(send_other(client, key)).code == "idempotency_mismatch"
        assert look() == before
