"""A page while the database does not answer: what to do, and nothing of where the records are kept."""

from __future__ import annotations

import dataclasses

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from service.api.problems import status_of
from service.store.database import Database
from service.web.router import router
from tests.web.conftest import Desk
from tests.web.parts import a_piece

DEAD = "postgresql+psycopg://keeper@127.0.0.1:1/records"


@pytest.mark.parametrize("address", ["/s/{key}", "/shop"])
def test_where_the_records_are_kept_stands_in_the_log_alone(
    desk: Desk, caplog: pytest.LogCaptureFixture, address: str
) -> None:
    dead = dataclasses.replace(desk.workshop, database=Database(DEAD))
    app = FastAPI()
    app.include_router(router(dead, owner_key=None, status_of=status_of)[0])
    answer = TestClient(app, base_url="http://127.0.0.1:8000").get(address.format(key=a_piece(desk.workshop).key))
    assert answer.status_code == 503
    assert "Try again in a moment" in answer.text
    assert "keeper" not in answer.text
    assert "127.0.0.1:1" not in answer.text
    assert "port 1" not in answer.text
    assert "keeper@127.0.0.1:1/records" in caplog.text
