"""The whole application in front of the small kit."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from schemas.answers import KitAnswer
from service.app import close_workshop, make_app, open_workshop
from service.settings import Settings
from service.store.figures import counts
from service.work.workshop import Workshop
from tests.small_kit import issue_small, release_all

BASE = "http://127.0.0.1:8000"
OWNER_KEY = "a-long-owner-key"


def settings_for(folder: Path, **more: object) -> Settings:
    """Settings over a folder, drawing in the serving process."""
    plain = {
        "database_url": f"sqlite:///{folder / 'kitwright.db'}",
        "vault_url": str(folder / "vault"),
        "render_workers": 0,
    }
    return Settings.model_validate({**plain, **more})


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """An open service bound to loopback."""
    return settings_for(tmp_path)


@pytest.fixture
def workshop(settings: Settings) -> Iterator[Workshop]:
    """The workshop behind the application, every cut file of the small kit released."""
    opened = open_workshop(settings)
    release_all(opened)
    yield opened
    close_workshop(opened)


@pytest.fixture
def client(settings: Settings, workshop: Workshop) -> TestClient:
    """A client at the application."""
    return TestClient(make_app(settings, workshop), base_url=BASE, follow_redirects=False)


@pytest.fixture
def issued(workshop: Workshop) -> KitAnswer:
    """The small kit, issued."""
    return issue_small(workshop)


@pytest.fixture
def on_record(workshop: Workshop, tmp_path: Path) -> Callable[[], tuple[object, ...]]:
    """How much is on record and in the vault."""

    def look() -> tuple[object, ...]:
        with workshop.database.read() as connection:
            held = tuple((name, count) for name, _words, count in counts(connection))
        return (*held, sum(path.is_file() for path in (tmp_path / "vault").rglob("*")))

    return look
