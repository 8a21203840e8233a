"""Runs migrations: inside the program's own transaction, or from the command line with KITWRIGHT_DATABASE_URL."""

from __future__ import annotations

import os

from alembic.util import CommandError
from sqlalchemy import Connection

from alembic import context
from service.store.database import Database
from service.store.tables import Base


def migrate(connection: Connection) -> None:
    """Run what was asked for. The connection is in a transaction already, and whoever began it ends it."""
    context.configure(connection=connection, target_metadata=Base.metadata, compare_server_default=True)
    with context.begin_transaction():
        context.run_migrations()


def from_command_line() -> None:
    """Open the database that the environment names and migrate as its one writer."""
    url = os.environ.get("KITWRIGHT_DATABASE_URL")
    if context.is_offline_mode() or not url:
        raise CommandError("Migrations need a database to look at: set KITWRIGHT_DATABASE_URL")
    database = Database(url)
    try:
        with database.write() as connection:
            migrate(connection)
    finally:
        database.close()


handed_over: Connection | None = context.config.attributes.get("connection")
if handed_over is None:
    from_command_line()
else:
    migrate(handed_over)
