"""The migrations of ``alembic/``, run by the program itself."""

from __future__ import annotations

import functools
from pathlib import Path

from alembic.config import Config
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from alembic import command

FOLDER = Path(__file__).resolve().parents[2] / "alembic"


def _config() -> Config:
    config = Config()
    # The option file's format takes a percent sign for the start of a placeholder.
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    return config


@functools.cache
def _steps() -> tuple[str | None, frozenset[str]]:
    scripts = ScriptDirectory.from_config(_config())
    return scripts.get_current_head(), frozenset(step.revision for step in scripts.walk_revisions())


def head() -> str | None:
    """The migration that this program's tables stand for."""
    return _steps()[0]


def knows(revision: str) -> bool:
    """Whether a migration is one of this program's own."""
    return revision in _steps()[1]


def upgrade(connection: Connection, revision: str = "head") -> None:
    """Run what is missing, inside the transaction that the connection is in."""
    command.upgrade(_on(connection), revision)


def downgrade(connection: Connection, revision: str) -> None:
    """Go back to an earlier migration, inside the transaction that the connection is in."""
    command.downgrade(_on(connection), revision)


def _on(connection: Connection) -> Config:
    config = _config()
    config.attributes["connection"] = connection
    return config
