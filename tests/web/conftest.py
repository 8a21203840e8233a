"""The pages in front of the demonstration shop, without a browser."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from service.api.problems import status_of
from service.web.router import router
from service.work.workshop import Workshop
from tests.demo_data import copied, open_workshop

OWNER_KEY = "a-long-owner-key"


@dataclass(frozen=True)
class Desk:
    """A workshop and a client at its pages."""

    workshop: Workshop
    client: TestClient


def desk_over(folder: Path, *, owner_key: str | None = None) -> Desk:
    """The pages over a folder of records."""
    workshop = open_workshop(folder)
    app = FastAPI()
    pages, _front = router(workshop, owner_key=owner_key, status_of=status_of)
    app.include_router(pages)
    return Desk(workshop, TestClient(app, base_url="http://127.0.0.1:8000", follow_redirects=False))


@pytest.fixture(scope="session")
def desk(demo_folder: Path) -> Iterator[Desk]:
    """The open service, for tests that only look."""
    opened = desk_over(demo_folder)
    yield opened
    opened.workshop.database.close()


@pytest.fixture(scope="session")
def guarded(demo_folder: Path) -> Iterator[Desk]:
    """The service with an owner key, for tests that only look; nobody is signed in."""
    opened = desk_over(demo_folder, owner_key=OWNER_KEY)
    yield opened
    opened.workshop.database.close()


@pytest.fixture
def own_desk(demo_folder: Path, tmp_path: Path) -> Iterator[Desk]:
    """The open service over a copy, for a test that writes."""
    opened = desk_over(copied(demo_folder, tmp_path / "data"))
    yield opened
    opened.workshop.database.close()
