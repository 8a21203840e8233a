"""A write that breaks off in the middle, by what the database itself does when somebody stops it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from sqlalchemy import Connection, event

from service.store.database import Database


@contextmanager
def striking(database: Database, at: int) -> Iterator[None]:
    """Break the next write off at its ``at``-th statement, or at its commit when it has fewer.

    SQLite is stopped inside the statement; of a server the process that serves the connection is ended.
    """
    engine, left = database._writing, at

    def strike(connection: Connection) -> None:
        nonlocal left
        left = 0
        driver = connection.connection.driver_connection
        if isinstance(driver, sqlite3.Connection):
            _stop_once(driver)
        elif isinstance(driver, psycopg.Connection):
            with database.driver_connection() as other:
                other.execute("SELECT pg_terminate_backend(%s, 10000)", (driver.info.backend_pid,))

    def before_statement(connection: Connection, *_rest: object) -> None:
        nonlocal left
        if left and not connection.get_execution_options().get("postgresql_readonly"):
            left -= 1
            if left == 0:
                strike(connection)

    def before_commit(connection: Connection) -> None:
        if left and not connection.get_execution_options().get("postgresql_readonly"):
            strike(connection)
            if database.is_local:
                # A commit is too short to be stopped inside; a statement before it is stopped instead.
                connection.exec_driver_sql("SELECT count(*) FROM event")

    event.listen(engine, "before_cursor_execute", before_statement)
    event.listen(engine, "commit", before_commit)
    try:
        yield
    finally:
        event.remove(engine, "before_cursor_execute", before_statement)
        event.remove(engine, "commit", before_commit)


def _stop_once(driver: sqlite3.Connection) -> None:
    """Interrupt the statement that comes next; the rollback after it goes through."""
    stopped = False

    def stop() -> bool:
        nonlocal stopped
        once, stopped = not stopped, True
        return once

    driver.set_progress_handler(stop, 1)
