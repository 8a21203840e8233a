"""Two people change the same record, and whoever looked at an older state of it is refused, on both databases.

RFC 9110 section 13.1.1 for ``If-Match``, RFC 6585 section 3 for an edit that comes without.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import httpx2
import pytest
from fastapi.testclient import TestClient

from schemas.damage_report import DamageReportRequest
from service.settings import Settings
from service.store.database import Database
from service.work.damage_reports import add_report
from tests.api.conftest import KIT, client_of, workshop_over
from tests.api.problem_documents import problem_of
from tests.small_kit import NUMBER_U3, issue_small

ROUNDS = 5


@dataclass(frozen=True)
class Edit:
    """A record that is edited in place.

    Attributes:
        look: where its state, with the ETag, is read.
        method: how it is edited.
        path: where.
        body: what is sent, for a number that differs each time.
        said: that number, as it stands in the record.
    """

    look: str
    method: str
    path: str
    body: Callable[[int], dict[str, object]]
    said: Callable[[httpx2.Response], int]


def _correction(count: int) -> dict[str, object]:
    facts = {"thickness_mm": 20.0 + count}
    return {"reason": "measured again", "correct": [{"number": NUMBER_U3, "facts": facts}]}


def _thickness(answer: httpx2.Response) -> int:
    (row,) = [row for row in answer.json()["segments"] if row["number"] == NUMBER_U3]
    return int(row["thickness_mm"] - 20.0)


def _name(answer: httpx2.Response) -> int:
    return _counted(answer.json()["name"])


def _counted(text: str) -> int:
    return int(text.rsplit(" ", 1)[1]) if text.startswith("hall") else 0


def _choice(count: int) -> dict[str, object]:
    return {"mark": NUMBER_U3, "reason": f"hall {count}"}


def _reason(answer: httpx2.Response) -> str:
    choice = answer.json()["choice"]
    return choice["reason"] if choice else ""


def _named(count: int) -> dict[str, object]:
    return {"name": f"hall {count}", "since": f"2026-05-01T08:{count:02}:00Z"}


EDITS = {
    "kit": Edit(f"/api/kits/{KIT}", "POST", f"/api/kits/{KIT}/corrections", _correction, _thickness),
    "shop": Edit(
        "/api/shop",
        "PUT",
        "/api/shop",
        lambda count: {"name": f"hall {count}", "address": "1 Router Lane", "telephone": "+00 555 0100"},
        _name,
    ),
    "plant": Edit("/api/plants/OSV/names", "POST", "/api/plants/OSV/names", _named, _name),
    "report": Edit(
        "/api/damage-reports/1",
        "POST",
        "/api/damage-reports/1/choice",
        _choice,
        lambda answer: _counted(_reason(answer)),
    ),
    "line": Edit("/api/plants/OSV/lines/4/names", "POST", "/api/plants/OSV/lines/4/names", _named, _name),
}


@pytest.fixture
def client(database: Database, tmp_path: Path) -> Iterator[TestClient]:
    """A service over the small kit, on each kind of database."""
    with workshop_over(database, tmp_path / "vault") as workshop:
        issue_small(workshop)
        add_report(workshop, DamageReportRequest(mark=NUMBER_U3))
        yield client_of(Settings(), workshop)


def send(client: TestClient, edit: Edit, count: int, **headers: str) -> httpx2.Response:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return client.request(edit.method, edit.path, json=edit.body(count), headers=named)


@pytest.mark.parametrize("name", EDITS)
def test_of_two_at_once_one_wins_and_the_other_is_told(client: TestClient, name: str) -> None:
    edit = EDITS[name]
    with ThreadPoolExecutor(2) as threads:
        for turn in range(ROUNDS):
            seen = client.get(edit.look).headers["ETag"]
            together = threading.Barrier(2)

            def race(count: int, seen: str = seen, together: threading.Barrier = together) -> httpx2.Response:
                together.wait(timeout=20)
                return send(client, edit, count, If_Match=seen)

            counts = [2 * turn + 1, 2 * turn + 2]
            answers = dict(zip(counts, threads.map(race, counts), strict=True))
            won = [count for count in counts if answers[count].is_success]
            lost = [count for count in counts if answers[count].status_code == 412]
            assert (len(won), len(lost)) == (1, 1)
            assert problem_of(answers[lost[0]]).code == "stale_edit"
            now = client.get(edit.look)
            assert edit.said(now) == won[0]
            assert now.headers["ETag"] == answers[won[0]].headers["ETag"] != seen


@pytest.mark.parametrize("name", EDITS)
def test_which_state_was_seen_has_to_be_said(client: TestClient, name: str) -> None:
    edit = EDITS[name]
    seen = client.get(edit.look).headers["ETag"]
    for nothing in ({}, {"If_Match": ""}):
        answer = send(client, edit, 1, **nothing)
        assert (answer.status_code, problem_of(answer).code) == (428, "edit_unseen")
    # A weak tag is no promise that the record is the same (RFC 9110 section 8.8.3.2, strong comparison).
    for other in ('"another"', f"W/{seen}", f'"a", W/{seen}'):
        assert send(client, edit, 1, If_Match=other).status_code == 412
    for wrong in ('"', '"a" "b"', "a b", ","):
        assert problem_of(send(client, edit, 1, If_Match=wrong)).field == "If-Match"
    assert client.get(edit.look).headers["ETag"] == seen
    assert send(client, edit, 1, If_Match=f'"another", {seen}').is_success
    assert send(client, edit, 2, If_Match="*").is_success
    assert edit.said(client.get(edit.look)) == 2


@pytest.mark.parametrize("name", [name for name, edit in EDITS.items() if edit.method == "POST"])
def test_a_retry_is_no_lost_race(client: TestClient, name: str) -> None:
    edit = EDITS[name]
    headers = {"If_Match": client.get(edit.look).headers["ETag"], "Idempotency_Key": "edit-1"}
    first = send(client, edit, 1, **headers)
    again = send(client, edit, 1, **headers)
    assert first.is_success
    assert (again.status_code, again.json()) == (first.status_code, first.json())
    assert send(client, edit, 2, If_Match=headers["If_Match"]).status_code == 412


def test_every_call_that_edits_says_so(client: TestClient) -> None:
    document = client.get("/openapi.json").json()["paths"]
    for edit in EDITS.values():
        path = (
            edit.path.replace(KIT, "{kit}")
            .replace("OSV", "{code}")
            .replace("/4/", "/{ordinal}/")
            .replace("/1/", "/{report_id}/")
        )
        call = document[path][edit.method.lower()]
        assert {"412", "428"} <= set(call["responses"])
        assert "If-Match" in [parameter["name"] for parameter in call["parameters"]]
    takes = {
        (path, method)
        for path, methods in document.items()
        for method, call in methods.items()
        if any(parameter["name"] == "If-Match" for parameter in call.get("parameters", ()))
    }
    replaces = {
        (path, method) for path, methods in document.items() for method in methods if method in {"put", "patch"}
    }
    assert replaces <= takes
    assert len(takes) == len(EDITS)
