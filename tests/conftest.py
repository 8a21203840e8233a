"""Fixtures that every test may use: databases of both kinds and a browser."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route

from tests.chromium import ChromiumMissing, driver, launch
from tests.postgres import PostgresServer


@pytest.fixture(scope="session")
def postgres() -> Iterator[PostgresServer]:
    """A running PostgreSQL server, one for each worker of the test run."""
    with PostgresServer() as server:
        yield server


@pytest.fixture
def postgres_url(postgres: PostgresServer) -> Iterator[str]:
    """The address of an empty PostgreSQL database, dropped after the test."""
    name = postgres.create_database()
    yield postgres.url(name)
    if postgres.running:
        postgres.drop_database(name)


@pytest.fixture
def sqlite_url(tmp_path: Path) -> str:
    """The address of a SQLite file that does not exist yet."""
    return f"sqlite:///{tmp_path / 'kitwright.db'}"


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """The address of an empty database; the test runs once on each kind."""
    name = "sqlite_url" if request.param == "sqlite" else "postgres_url"
    url: str = request.getfixturevalue(name)
    return url


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A headless Chromium, one for each worker of the test run. Under CI a missing one fails, elsewhere it skips."""
    try:
        with driver() as playwright:
            chromium = launch(playwright)
            yield chromium
            chromium.close()
    except ChromiumMissing as missing:
        if os.environ.get("CI") == "true":
            pytest.fail(str(missing))
        pytest.skip(str(missing))


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A fresh page. The test fails if the page asked for anything beyond this machine or a script of it broke."""
    context = browser.new_context()
    strays: list[str] = []
    broken: list[str] = []

    def stop_at_the_door(route: Route) -> None:
        address = urlsplit(route.request.url)
        if address.scheme in {"data", "blob"} or address.hostname in {"127.0.0.1", "localhost"}:
            route.continue_()
        else:
            strays.append(route.request.url)
            route.abort()

    context.route("**/*", stop_at_the_door)
    opened = context.new_page()
    opened.on("pageerror", lambda error: broken.append(str(error)))
    yield opened
    context.close()
    assert strays == [], "the page needs the internet"
    assert broken == [], "a script of the page broke"
