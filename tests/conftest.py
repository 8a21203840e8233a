"""Fixtures that every test may use: databases of both kinds and a browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

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
