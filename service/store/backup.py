"""A copy of the records while others write, and files that are there whole or not at all."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from service.errors import BadRequest, CopyUnproven, TargetUnavailable
from service.store import sqlite
from service.store.database import WAIT_S, Database


@contextmanager
def new_file(target: Path) -> Iterator[Path]:
    """A draft beside the target that becomes the target when the block ends, and goes away when it raises.

    Raises:
        BadRequest: something of this name is there already; nothing is ever written over.
        TargetUnavailable: the folder is missing, full, or not for this user to write to.
    """
    refusal = BadRequest(
        "a file of this name is there already", field="--out", value=target, todo="Name a file that does not exist yet"
    )
    if target.exists():
        raise refusal
    try:
        handle, name = tempfile.mkstemp(prefix=".draft-", suffix=target.suffix, dir=target.absolute().parent)
        os.close(handle)
    except OSError as error:
        raise unwritable(error, target) from error
    draft = Path(name)
    try:
        yield draft
        _to_disk(draft)
        # Not every stick that a copy is carried home on can link, and none can rename without writing over.
        if target.exists():
            raise refusal
        draft.rename(target)
        _to_disk(target.absolute().parent)
    except OSError as error:
        raise unwritable(error, target) from error
    finally:
        with contextlib.suppress(OSError):
            draft.unlink()


def unwritable(error: OSError, target: object) -> TargetUnavailable:
    """The error for a file that cannot be written."""
    return TargetUnavailable(
        f"it cannot be written ({error.strerror or error})",
        field="--out",
        value=target,
        todo="Name a file in a folder that exists, has room, and is yours to write to",
    )


def _to_disk(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def back_up(database: Database, target: Path) -> int:
    """Copy a SQLite database as it stands at one moment, while others read and write; the bytes of the copy.

    The copy is one file without a journal beside it, looked through before it gets its name.

    Raises:
        BadRequest: the records are on a server, or the target exists.
        DatabaseUnavailable: the database does not answer, or the disk has no room.
        CopyUnproven: the copy is damaged.
        TargetUnavailable: the target cannot be written.
    """
    if not database.is_local:
        raise BadRequest(
            "a server keeps these records, and copies them with its own tools",
            field="KITWRIGHT_DATABASE_URL",
            value=database.url.get_backend_name(),
            todo="Use pg_dump, or write everything into one archive with 'kitwright export'",
        )
    source = Path(database.url.database or "")
    if not source.is_file():
        raise database.unavailable("there is no such file")
    with new_file(target) as draft:
        try:
            _copy(str(source), draft)
        except sqlite3.DatabaseError as error:
            raise database.unavailable(str(error)) from error
        return draft.stat().st_size


def _copy(source: str, draft: Path) -> None:
    with closing(sqlite.connect(source, wait_s=WAIT_S)) as live, closing(sqlite3.connect(draft)) as copy:
        live.execute("PRAGMA query_only = ON")
        # All pages in one step: writers append to the log meanwhile and the copy is of one moment.
        live.backup(copy, pages=-1)
        copy.execute("PRAGMA journal_mode = DELETE")
        said = copy.execute("PRAGMA integrity_check(1)").fetchone()[0]
        dangling = copy.execute("PRAGMA foreign_key_check").fetchone()
    if said != "ok" or dangling is not None:
        raise CopyUnproven(
            f"the copy is damaged ({said if dangling is None else f'a row of {dangling[0]} refers to nothing'})",
            field="KITWRIGHT_DATABASE_URL",
            value=source,
            todo="Look after the disk of the database; keep the last good copy",
        )
