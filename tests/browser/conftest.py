"""The real service in a process of its own, over the demonstration shop, and pages at the sizes people use."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import ConsoleMessage, Page, ViewportSize

from schemas.requests import ReorderRequest
from service.work.reorder import reorder
from tests.demo_data import copied, open_workshop
from tests.faults.processes import Service, serving
from tests.web.parts import a_piece

PHONE: ViewportSize = {"width": 390, "height": 844}
DESK: ViewportSize = {"width": 1440, "height": 900}
OWNER_KEY = "a-long-owner-key"


def settings(folder: Path) -> dict[str, str]:
    """The environment of a service over the records in a folder; it draws in its own process."""
    return {
        "KITWRIGHT_DATABASE_URL": f"sqlite:///{folder / 'kitwright.db'}",
        "KITWRIGHT_VAULT_URL": str(folder / "vault"),
        "KITWRIGHT_RENDER_WORKERS": "0",
    }


@pytest.fixture(scope="session")
def service(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """The open service, on which a segment was ordered again (reorder 1); all tests share it."""
    folder = copied(demo_folder, tmp_path_factory.mktemp("served") / "data")
    workshop = open_workshop(folder)
    reorder(workshop, ReorderRequest(mark=a_piece(workshop, "SW3-U1").key, reason="cracked at the neck"))
    workshop.database.close()
    with serving(environment=settings(folder)) as running:
        yield running


@pytest.fixture(scope="session")
def guarded(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """The service with an owner key."""
    folder = copied(demo_folder, tmp_path_factory.mktemp("guarded") / "data")
    with serving(environment={**settings(folder), "KITWRIGHT_OWNER_KEY": OWNER_KEY}) as running:
        yield running


@pytest.fixture
def complaints(page: Page) -> Iterator[list[str]]:
    """What the browser writes to its console as an error; the test fails if there is anything in it at the end.

    A page that was asked to say no (a status of 4xx) is no complaint.
    """
    written: list[str] = []

    def note(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning") and "status of 4" not in message.text:
            written.append(f"{message.text} at {message.location}")

    page.on("console", note)
    yield written
    assert written == [], "the browser complained"
