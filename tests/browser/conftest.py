"""The real service in a process of its own, over the demonstration shop, and pages at the sizes people use."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import ConsoleMessage, Page

from tests.demo_data import copied
from tests.faults.processes import Service, serving

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1440, "height": 900}
OWNER_KEY = "a-long-owner-key"


def settings(folder: Path) -> dict[str, str]:
    """The environment of a service over the records in a folder; it draws in its own process."""
    return {
        "KITWRIGHT_DATABASE_URL": f"sqlite:///{folder / 'kitwright.db'}",
        "KITWRIGHT_VAULT_URL": str(folder / "vault"),
        "KITWRIGHT_RENDER_WORKERS": "0",
    }


@pytest.fixture(scope="module")
def service(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """The open service; the tests of one file share it."""
    folder = copied(demo_folder, tmp_path_factory.mktemp("served") / "data")
    with serving(environment=settings(folder)) as running:
        yield running


@pytest.fixture(scope="module")
def guarded(demo_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    """The same with an owner key."""
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
