"""A copy of the records of a shop that keeps on working."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from service.store.backup import back_up
from service.store.database import Database


def back_up_records(database_url: str, target: Path) -> int:
    """Copy the records as they stand, in the tables that they stand in; the bytes of the copy.

    Nothing is migrated, so that a copy can be made before a newer version of the program is started.

    Raises:
        BadRequest: the records are on a server, or the target exists.
        CopyUnproven: the copy is damaged.
        DatabaseUnavailable: the database does not answer.
        TargetUnavailable: the target cannot be written.
    """
    with closing(Database(database_url)) as database:
        return back_up(database, target)
