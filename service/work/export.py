"""Everything that is on record, with every cut file, in one archive that can be read without this program."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import IO

from sqlalchemy import Connection

from schemas.archive import FORMAT, FORMAT_VERSION, ArchivedLedger, ArchivedTable, ArchiveManifest, LeftOut
from service.errors import CopyUnproven, CutFileAltered, CutFileMissing
from service.store import backup, dump, ledger, migrations
from service.store.archive_reading import cut_file_member, table_member
from service.store.archive_writing import ArchiveWriter
from service.store.released import KeptFile, kept_files
from service.work.workshop import Workshop

_NAMED = 5
_IN_MEMORY_BYTES = 2**20


@dataclass(frozen=True, slots=True)
class ExportReport:
    """What went into an archive.

    Attributes:
        rows: of all tables.
        cut_files: different ones, photographs of damage reports counted with them.
        ledger: its tip, and what was found wrong with it.
        left_out: cut files that the vault could not give.
    """

    rows: int
    cut_files: int
    ledger: ArchivedLedger
    left_out: tuple[LeftOut, ...]


def export_to_file(
    workshop: Workshop,
    target: Path,
    *,
    leave_out_damaged: bool = False,
    step: Callable[[str], None] = lambda _words: None,
) -> ExportReport:
    """Write the archive; it has its name only when it is whole.

    Args:
        workshop: whose records and cut files.
        target: a file that does not exist yet.
        leave_out_damaged: write the archive also without cut files that are lost; the manifest names them.
        step: told what is being written.

    Raises:
        BadRequest: the target exists.
        CutFileAltered, CutFileMissing: the vault does not hold what was released; each file is named.
        CopyUnproven: a table holds what no archive can hold.
        TargetUnavailable: the target cannot be written.
    """
    with backup.new_file(target) as draft, draft.open("wb") as stream:
        return _export(workshop, stream, leave_out_damaged=leave_out_damaged, step=step)


def export_to_stream(workshop: Workshop) -> IO[bytes]:
    """The archive as an open file without a name, at its beginning; it is gone when it is closed.

    Raises:
        CutFileAltered, CutFileMissing: the vault does not hold what was released; each file is named.
        CopyUnproven: a table holds what no archive can hold.
        TargetUnavailable: the disk has no room for it.
    """
    stream = tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)  # noqa: SIM115  the caller closes it
    try:
        _export(workshop, stream)
        stream.seek(0)
    except OSError as error:
        stream.close()
        raise backup.unwritable(error, tempfile.gettempdir()) from error
    except BaseException:
        stream.close()
        raise
    return stream


def _export(
    workshop: Workshop,
    stream: IO[bytes],
    *,
    leave_out_damaged: bool = False,
    step: Callable[[str], None] = lambda _words: None,
) -> ExportReport:
    with workshop.database.read() as connection, ArchiveWriter(stream) as archive:
        tables = [_table(connection, archive, shape, step) for shape in dump.shapes(connection)]
        step("cut files")
        left_out = _cut_files(workshop, connection, archive, leave_out_damaged=leave_out_damaged)
        step("ledger")
        chain = archived_ledger(connection)
        archive.finish(
            ArchiveManifest(
                format=FORMAT,
                format_version=FORMAT_VERSION,
                product_version=version("kitwright"),
                schema_revision=migrations.head() or "",
                ledger=chain,
                tables=tables,
                files=archive.files,
                left_out=left_out,
            )
        )
        return ExportReport(
            rows=sum(table.rows for table in tables),
            cut_files=len(archive.files) - len(tables) - 1,
            ledger=chain,
            left_out=tuple(left_out),
        )


def archived_ledger(connection: Connection) -> ArchivedLedger:
    """The ledger as a manifest holds it."""
    found = ledger.verify(connection)
    return ArchivedLedger(rows=found.rows, tip=str(found.tip), faults=[fault.message for fault in found.faults])


def _table(
    connection: Connection, archive: ArchiveWriter, shape: dump.TableShape, step: Callable[[str], None]
) -> ArchivedTable:
    step(f"table {shape.name}")
    count = 0

    def blocks() -> Iterator[bytes]:
        nonlocal count
        for rows, block in dump.lines(connection, shape):
            count += rows
            yield block

    try:
        archive.add(table_member(shape.name), blocks())
    except ValueError as error:
        raise CopyUnproven(
            f"this table holds what no archive can hold ({error})",
            field="table",
            value=shape.name,
            todo="Somebody wrote to the database by hand; bring the row back from a backup, then export again",
        ) from error
    return ArchivedTable(name=shape.name, rows=count, primary_key=list(shape.primary_key), columns=dict(shape.columns))


def _cut_files(
    workshop: Workshop, connection: Connection, archive: ArchiveWriter, *, leave_out_damaged: bool
) -> list[LeftOut]:
    faults: list[tuple[KeptFile, CutFileAltered | CutFileMissing]] = []
    done = set[str]()
    for kept in kept_files(connection):
        try:
            if kept.sha256 not in done:
                archive.add(cut_file_member(kept.sha256), [workshop.vault.get(kept.sha256)])
        except (CutFileAltered, CutFileMissing) as error:
            faults.append((kept, error))
        else:
            done.add(kept.sha256)
    if faults and not leave_out_damaged:
        raise _named(faults)
    return [
        LeftOut(
            cut_file=kept.name,
            revision=kept.letter,
            sha256=kept.sha256,
            reason="missing" if isinstance(error, CutFileMissing) else "altered",
        )
        for kept, error in faults
    ]


def _named(faults: Sequence[tuple[KeptFile, CutFileAltered | CutFileMissing]]) -> CutFileAltered | CutFileMissing:
    """The first fault's error, with the names of all."""
    first, error = faults[0]
    names = [str(kept) for kept, _ in faults]
    further = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    others = f"; not whole either: {', '.join(names[1:_NAMED])}{further}" if len(names) > 1 else ""
    return type(error)(
        f"{error.what}{others}",
        field="cut file",
        value=names[0],
        todo="Bring it back from a copy of the vault, or export with --leave-out-damaged and the archive names it",
        place=f"SHA-256 {first.sha256}",
    )
