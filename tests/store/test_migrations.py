"""Migrations: alone, at once, there and back, and the same tables as the code's."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, text

from service.errors import UnsafeSetting
from service.store import migrations
from service.store.database import Database
from service.store.tables import Base
from tests.factories import make_kit

ROOT = migrations.FOLDER.parent
MIGRATE = "import sys; from service.store.database import Database; Database(sys.argv[1]).migrate()"


def alembic(url: str | None, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command that a person types in the project's folder."""
    environment = {name: value for name, value in os.environ.items() if name != "KITWRIGHT_DATABASE_URL"}
    return subprocess.run(
        [sys.executable, "-m", "alembic", *arguments],
        cwd=ROOT,
        env=environment if url is None else {**environment, "KITWRIGHT_DATABASE_URL": url},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_migrations_make_the_tables_of_the_code(database: Database) -> None:
    with database.read() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, Base.metadata) == []


def test_alembic_check_finds_nothing_to_do(database_url: str) -> None:
    assert alembic(database_url, "upgrade", "head").returncode == 0
    checked = alembic(database_url, "check")
    assert checked.returncode == 0, checked.stderr
    assert "No new upgrade operations" in checked.stdout


def test_down_to_nothing_and_up_again(database_url: str) -> None:
    for step in ("head", "base", "head"):
        verb = "downgrade" if step == "base" else "upgrade"
        done = alembic(database_url, verb, step)
        assert done.returncode == 0, done.stderr
        database = Database(database_url)
        with database.read() as connection:
            tables = set(inspect(connection).get_table_names()) - {"alembic_version"}
        assert tables == (set() if step == "base" else set(Base.metadata.tables))
        assert database.ready() == (step == "head")
        database.close()


def test_tables_with_issued_numbers_are_not_taken_down(database: Database) -> None:
    with database.write() as connection:
        make_kit(connection)
    url = database.url.render_as_string(hide_password=False)
    refused = alembic(url, "downgrade", "base")
    assert refused.returncode != 0
    assert "never taken back" in refused.stderr + refused.stdout
    with database.read() as connection:
        assert connection.scalar(text("SELECT count(*) FROM segment")) == 4
    assert database.ready(), "a refused step back leaves everything as it was"


def test_without_an_address_the_command_says_what_to_set() -> None:
    done = alembic(None, "current")
    assert done.returncode != 0
    assert "set KITWRIGHT_DATABASE_URL" in done.stderr + done.stdout


def test_four_processes_migrate_at_once(database_url: str) -> None:
    processes = [
        subprocess.Popen([sys.executable, "-c", MIGRATE, database_url], cwd=ROOT, stderr=subprocess.PIPE, text=True)
        for _ in range(4)
    ]
    complaints = [process.communicate(timeout=120)[1] for process in processes]
    assert [process.returncode for process in processes] == [0, 0, 0, 0], complaints
    database = Database(database_url)
    assert database.ready()
    database.close()


def test_migrating_again_changes_nothing(database: Database) -> None:
    with database.write() as connection:
        make_kit(connection)
    database.migrate()
    with database.read() as connection:
        assert connection.scalar(text("SELECT count(*) FROM segment")) == 4


def test_a_database_of_a_newer_version_is_refused(database: Database) -> None:
    with database.write() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    assert not database.ready()
    with pytest.raises(UnsafeSetting, match="newer version"):
        database.migrate()


def test_the_library_is_not_hidden_by_the_folder() -> None:
    assert not (ROOT / "alembic" / "__init__.py").exists()
    assert Path(sys.modules["alembic"].__file__ or "").parent != migrations.FOLDER
