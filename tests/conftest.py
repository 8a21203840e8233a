"""Fixtures that every test may use: databases of both kinds, empty or with the tables in them, and a browser."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Generator, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route
from sqlalchemy import Connection

from service.store.database import Database
from tests.chromium import ChromiumMissing, driver, launch
from tests.demo_data import fill
from tests.postgres import PostgresServer


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Escape half characters in what a test wrote.

    A law about hostile text fails with such text in its report, which the worker of a parallel run cannot send: the
    whole run would break off instead of naming the test.
    """
    report = yield
    report.sections = [(title, _sendable(text)) for title, text in report.sections]
    if report.longrepr is not None and _sendable(report.longreprtext) != report.longreprtext:
        report.longrepr = _sendable(report.longreprtext)
    return report


def _sendable(text: str) -> str:
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


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


def _migrate(url: str) -> None:
    with contextlib.closing(Database(url)) as database:
        database.migrate()


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with the tables and nothing in them; to be copied, never written."""
    path = tmp_path_factory.mktemp("migrated") / "kitwright.db"
    _migrate(f"sqlite:///{path}")
    return path


@contextlib.contextmanager
def _opened(request: pytest.FixtureRequest, folder: Path) -> Iterator[Database]:
    """A database of the kind that the fixture's parameter names."""
    if request.param == "sqlite":
        path = folder / "kitwright.db"
        path.write_bytes(request.getfixturevalue("migrated_sqlite").read_bytes())
        with contextlib.closing(Database(f"sqlite:///{path}")) as database:
            yield database
        return
    server: PostgresServer = request.getfixturevalue("postgres")
    name = server.create_database(template=server.template("migrated", _migrate))
    with contextlib.closing(Database(server.url(name))) as database:
        yield database
    if server.running:
        server.drop_database(name)


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database with the tables and nothing in them; the test runs once on each kind."""
    with _opened(request, tmp_path) as opened:
        yield opened


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def module_database(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    """The same for all tests of a file; each of them leaves it as it was."""
    with _opened(request, tmp_path_factory.mktemp("module")) as opened:
        yield opened


@pytest.fixture
def writing(database: Database) -> Iterator[Connection]:
    """A connection inside the one writer's transaction."""
    with database.write() as connection:
        yield connection


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demonstration shop on record: its database and its vault; nobody writes to it."""
    folder = tmp_path_factory.mktemp("demo") / "data"
    fill(folder)
    return folder


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
        # The browser's own pages, such as its PDF viewer, come from itself.
        if address.scheme in {"data", "blob", "chrome", "chrome-extension"} or address.hostname in {
            "127.0.0.1",
            "localhost",
        }:
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
