"""What raises the errors that only the terminal meets: archives and copies are read and written by whoever runs it."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from schemas.archive import read_manifest
from service.errors import (
    ArchiveTooNew,
    BadArchive,
    CopyUnproven,
    DatabaseNotEmpty,
    KitwrightError,
    TargetUnavailable,
)
from service.store.backup import back_up, new_file
from service.work.export import export_to_file
from service.work.restore import restore_archive
from service.work.workshop import Workshop

Provoke = Callable[[Workshop, Path], object]
RESTORED = "an archive is restored at the terminal, into an empty shop"


def restored_over_records(workshop: Workshop, folder: Path) -> None:
    """A shop is exported and restored over itself."""
    export_to_file(workshop, folder / "shop.zip")
    restore_archive(workshop, folder / "shop.zip")


def written_nowhere(_workshop: Workshop, folder: Path) -> None:
    """A file is wanted in a folder that does not exist."""
    with new_file(folder / "missing" / "shop.zip"):
        pass


def copied_damaged(workshop: Workshop, folder: Path) -> None:
    """A row that refers to nothing was smuggled into the database before it is copied."""
    with closing(sqlite3.connect(str(workshop.database.url.database))) as foreign:
        foreign.execute("INSERT INTO shared_segment (kit_id, segment_id) VALUES (1, 999999)")
        foreign.commit()
    back_up(workshop.database, folder / "copy.db")


TERMINAL: dict[str, tuple[str, type[KitwrightError], Provoke]] = {
    "bad_archive": (RESTORED, BadArchive, lambda _workshop, _folder: read_manifest(b"{", place="MANIFEST.json")),
    "archive_too_new": (
        RESTORED,
        ArchiveTooNew,
        lambda _workshop, _folder: read_manifest(
            b'{"format": "kitwright-archive", "format_version": 99}', place="MANIFEST.json"
        ),
    ),
    "database_not_empty": (RESTORED, DatabaseNotEmpty, restored_over_records),
    "target_unavailable": ("only the terminal writes into folders", TargetUnavailable, written_nowhere),
    "copy_unproven": ("copies are made at the terminal", CopyUnproven, copied_damaged),
}
"""Code, why no request is answered with it, and what raises it then."""
