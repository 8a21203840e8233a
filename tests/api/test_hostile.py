"""Whatever a client sends, the answer is one that the document promises and never a fault of the service."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.settings import Settings
from service.store.database import Database
from tests.api.conftest import client_of, workshop_over
from tests.api.hostile import Sender
from tests.api.problem_documents import problem_of
from tests.small_kit import issue_small


class Victim:
    """A client at a service, and the document that requests are made from."""

    def __init__(self, client: TestClient) -> None:
        self.client = client
        self.document: dict[str, Any] = client.get("/openapi.json").json()

    def __repr__(self) -> str:
        return "victim"


@pytest.fixture(scope="module")
def victim(module_database: Database, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Victim]:
    """The small kit on record, on each kind of database, for requests that may change it."""
    with workshop_over(module_database, tmp_path_factory.mktemp("victim")) as workshop:
        issue_small(workshop)
        yield Victim(client_of(Settings(), workshop))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 2**32))
def test_nothing_that_is_sent_breaks_the_service(victim: Victim, seed: int) -> None:
    request = Sender(victim.document, seed).request()
    answer = victim.client.request(
        request.method,
        request.path,
        headers=request.headers,
        content=request.content,
        files=request.files,
        data=request.data,
    )
    assert answer.status_code < 500, answer.text
    if answer.status_code >= 400 and answer.headers["content-type"].startswith("application/problem"):
        problem_of(answer)
