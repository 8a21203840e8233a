"""The records as a whole: verify the ledger, export, restore, copy."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.progress import BarColumn, MofNCompleteColumn, Progress, SpinnerColumn, TextColumn

from schemas.archive import LeftOut
from service.commands.terminal import ERR, opened, say
from service.settings import read_settings
from service.work.backup import back_up_records
from service.work.export import export_to_file
from service.work.restore import restore_archive
from service.work.verify_ledger import verify_ledger as verify_whole_ledger


def verify_ledger(
    tip: Annotated[
        list[str] | None, typer.Option(help="A tip that was kept elsewhere, SHA-256:row; may repeat.")
    ] = None,
) -> None:
    """Read the whole ledger and name each row that is not as it was written; status 1 when there is one."""
    columns = (SpinnerColumn(), BarColumn(), MofNCompleteColumn(), TextColumn("rows read"))
    with opened() as workshop, Progress(*columns, console=ERR, transient=True) as bar:
        task = bar.add_task("", total=None)
        answer = verify_whole_ledger(
            workshop, tips=tip or [], read=lambda read, rows: bar.update(task, completed=read, total=max(read, rows))
        )
    for fault in answer.faults:
        ERR.print(f"{fault.kind}: {fault.message}", markup=False, highlight=False, soft_wrap=True)
    if answer.fault_count > len(answer.faults):
        ERR.print(f"and {answer.fault_count - len(answer.faults):,} more", markup=False, highlight=False)
    state = "whole" if answer.whole else "NOT WHOLE"
    say(f"ledger {state}: {answer.rows:,} rows read")
    say(f"tip {answer.tip.tip}")
    if not answer.whole:
        raise typer.Exit(1)
    if not answer.anchors:
        say("No tip was given: rows cut off at the end would not have been seen.")


def export(
    to: Annotated[Path, typer.Option("--out", help="The archive to write; it must not exist yet.")],
    *,
    leave_out_damaged: Annotated[
        bool, typer.Option("--leave-out-damaged", help="Go on without cut files that are lost; the archive names them.")
    ] = False,
) -> None:
    """Write every record and every cut file into one archive of open formats."""
    with opened() as workshop, ERR.status("reading the records") as status:
        report = export_to_file(workshop, to, leave_out_damaged=leave_out_damaged, step=status.update)
    say(f"{to}: {report.rows:,} rows, {report.cut_files:,} cut files and photographs")
    for lost in report.left_out:
        say(f"  left out: {_named(lost)}, {lost.reason}")
    for fault in report.ledger.faults:
        say(f"  ledger: {fault}")
    say("Write this tip of the ledger down where nobody can change it:")
    say(report.ledger.tip)


def restore(
    archive: Annotated[Path, typer.Argument(help="An archive that 'export' wrote.", exists=True, dir_okay=False)],
    tip: Annotated[list[str] | None, typer.Option(help="A tip that was kept elsewhere; may repeat.")] = None,
) -> None:
    """Bring everything in an archive back into an empty database and vault, and prove it."""
    with opened() as workshop, ERR.status("reading the archive") as status:
        report = restore_archive(workshop, archive, tips=tip or (), step=status.update)
    say(f"{archive}: {report.rows:,} rows, {report.cut_files:,} cut files and photographs")
    for table in report.manifest.tables:
        say(f"  {table.name}: {table.rows:,}")
    say("Every row was read again and is as it was exported; every cut file has its SHA-256.")
    for lost in report.manifest.left_out:
        say(f"  was lost: {_named(lost)}, {lost.reason}")
    for fault in report.manifest.ledger.faults:
        say(f"  ledger: {fault}")
    say(f"Tip of the ledger: {report.manifest.ledger.tip}")


def backup(to: Annotated[Path, typer.Option("--out", help="The copy to write; it must not exist yet.")]) -> None:
    """Copy the SQLite database while it is in use; copy the vault afterwards."""
    size = back_up_records(read_settings().database_url, to)
    say(f"{to}: {size:,} bytes, looked through; now copy the vault")


def _named(lost: LeftOut) -> str:
    """A cut file with its revision, or a photograph."""
    return f"{lost.cut_file} revision {lost.revision}" if lost.revision else lost.cut_file
