"""An exported archive back into an empty database and its vault: all of it, proven, or nothing.

The archive is read through before anything is touched. Cut files go into the vault before a record names them, where
bytes without a record do no harm; all rows go in with one transaction, which ends only when they read as exported.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection

from schemas.archive import ArchivedTable, ArchiveManifest
from service.errors import ArchiveTooNew, BadArchive, CopyUnproven, DatabaseNotEmpty
from service.store import dump, ledger, load, migrations
from service.store.archive_reading import ArchiveReader, table_member
from service.store.archive_writing import MANIFEST
from service.store.chain import Anchor
from service.store.released import kept_files
from service.work.export import archived_ledger
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class RestoreReport:
    """What came back, and was proven.

    Attributes:
        manifest: of the archive; its left out cut files are still missing.
        rows: of all tables.
        cut_files: different ones, photographs of damage reports counted with them.
    """

    manifest: ArchiveManifest
    rows: int
    cut_files: int


def restore_archive(
    workshop: Workshop, path: Path, *, tips: Sequence[str] = (), step: Callable[[str], None] = lambda _words: None
) -> RestoreReport:
    """Bring back every row and every cut file of an archive.

    An archive of an older version goes into the tables of its time, which are then brought up to date as any older
    database is.

    Args:
        workshop: its database is empty.
        path: the archive.
        tips: of the ledger, as they were written down elsewhere; the archive must hold them.
        step: told what is being done.

    Raises:
        ArchiveTooNew: a newer version of this program made it.
        BadArchive: it is damaged, incomplete, changed, or not an archive; the member is named.
        BadRequest: a tip is none.
        CopyUnproven: what was restored does not read as it was exported.
        CutFileAltered: the vault holds other bytes already under the SHA-256 of a cut file.
        DatabaseNotEmpty: there are records already.
    """
    anchors = [Anchor.parse(tip) for tip in tips]
    with ArchiveReader(path) as archive:
        manifest = archive.manifest
        _refuse_newer(manifest)
        with workshop.database.read() as connection:
            _refuse_filled(workshop, connection)
        step("reading the archive through")
        archive.verify()
        step("cut files")
        cut_files = set(archive.cut_files())
        for sha256 in sorted(cut_files):
            workshop.vault.put(archive.cut_file(sha256))
        with workshop.database.write() as connection:
            _refuse_filled(workshop, connection)
            _go_back(connection, manifest.schema_revision)
            rows = _fill(connection, archive, step)
            migrations.upgrade(connection)
            _check_cut_files(connection, manifest, cut_files)
            step("ledger")
            _check_ledger(connection, manifest, anchors)
        return RestoreReport(manifest, rows, len(cut_files))


def _refuse_newer(manifest: ArchiveManifest) -> None:
    if not migrations.knows(manifest.schema_revision):
        raise ArchiveTooNew(
            f"its tables are those of version {manifest.product_version}, which this version does not know",
            field="schema_revision",
            value=manifest.schema_revision,
            todo="Restore it with the version of the program that made it, or a newer one",
            place=MANIFEST,
        )


def _refuse_filled(workshop: Workshop, connection: Connection) -> None:
    filled = dump.first_filled(connection, dump.shapes(connection))
    if filled is not None:
        raise DatabaseNotEmpty(
            f"there are records in it already (table '{filled}'), and nothing is restored over records",
            field="KITWRIGHT_DATABASE_URL",
            value=workshop.database.url.render_as_string(hide_password=True),
            todo="Name an empty database, or a file that does not exist yet",
        )


def _go_back(connection: Connection, revision: str) -> None:
    """Give the empty database the tables that the archive was made of."""
    if revision != migrations.head():
        migrations.downgrade(connection, revision)


def _fill(connection: Connection, archive: ArchiveReader, step: Callable[[str], None]) -> int:
    shapes = dump.shapes(connection)
    _check_tables(archive.manifest.tables, shapes)
    rows = 0
    with load.references_later(connection), load.chain_as_it_was(connection):
        for shape in shapes:
            step(f"table {shape.name}")
            member = table_member(shape.name)
            rows += load.load(connection, shape, archive.table_lines(shape.name), place=member)
        step("references")
    for shape in shapes:
        step(f"proving {shape.name}")
        _prove(connection, archive.manifest, shape)
    return rows


def _check_tables(written: Iterable[ArchivedTable], shapes: Iterable[dump.TableShape]) -> None:
    theirs = {table.name: (table.columns, tuple(table.primary_key)) for table in written}
    ours = {shape.name: (dict(shape.columns), shape.primary_key) for shape in shapes}
    for name in sorted(theirs.keys() | ours.keys()):
        if theirs.get(name) != ours.get(name):
            raise BadArchive(
                "the archive has this table otherwise than the version that it names"
                if name in theirs and name in ours
                else "this table is missing"
                if name in ours
                else "the version that the archive names has no such table",
                field="table",
                value=name,
                todo="Restore from another copy of the archive; nothing of this one was kept",
                place=MANIFEST,
            )


def _prove(connection: Connection, manifest: ArchiveManifest, shape: dump.TableShape) -> None:
    """Write the table once more as it now stands in the database: the same lines, or nothing is kept."""
    digest = hashlib.sha256()
    for _rows, block in dump.lines(connection, shape):
        digest.update(block)
    member = table_member(shape.name)
    if digest.hexdigest() != manifest.files[member].sha256:
        raise CopyUnproven(
            "its rows, read again out of the database, are not those of the archive",
            field="table",
            value=shape.name,
            todo="Restore from another copy of the archive; nothing of this one was kept",
            place=member,
        )


def _check_cut_files(connection: Connection, manifest: ArchiveManifest, archived: set[str]) -> None:
    left_out = {one.sha256 for one in manifest.left_out}
    named = set[str]()
    for kept in kept_files(connection):
        named.add(kept.sha256)
        if kept.sha256 not in archived and kept.sha256 not in left_out:
            raise BadArchive(
                f"the bytes of {kept} are not in it",
                field="archive",
                value=kept.sha256,
                todo="Restore from another copy of the archive; nothing of this one was kept",
                place=MANIFEST,
            )
    if stray := sorted((archived | left_out) - named):
        raise BadArchive(
            "no revision and no photograph in it names these bytes",
            field="archive",
            value=stray[0],
            todo="Restore from another copy of the archive; nothing of this one was kept",
            place=MANIFEST,
        )


def _check_ledger(connection: Connection, manifest: ArchiveManifest, anchors: Sequence[Anchor]) -> None:
    found = archived_ledger(connection)
    if found != manifest.ledger:
        raise BadArchive(
            f"its ledger ends in {found.tip} after {found.rows} rows, and the manifest says otherwise"
            if not found.faults
            else f"its ledger is not whole: {found.faults[0]}",
            field="ledger",
            value=manifest.ledger.tip,
            todo="Restore from another copy of the archive; nothing of this one was kept",
            place=MANIFEST,
        )
    if not anchors:
        return
    against = ledger.verify(connection, anchors)
    if against.fault_count > len(found.faults):
        raise BadArchive(
            f"its ledger does not hold the tip that was written down: {against.faults[-1].message}",
            field="tip",
            value=str(anchors[0]),
            todo="Find out which of the two is the right one before anything is restored",
        )
