"""Databases with the tables in them, one of each kind."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Connection

from service.store.database import Database
from tests.postgres import PostgresServer


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
