"""Legacy marks from the terminal: a table of old numbers, names and order lines goes in beside the numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.commands.terminal import ERR, TERMINAL, hold_place, opened, say, write_file
from service.errors import TooLarge
from service.work.import_marks import MOST_BYTES, import_marks


def import_(
    table: Annotated[
        Path, typer.Argument(help="Table of legacy marks, CSV from any spreadsheet.", exists=True, dir_okay=False)
    ],
    *,
    prepare: Annotated[bool, typer.Option(help="Only say what would become of each line.")] = False,
    refused: Annotated[
        Path | None, typer.Option(help="Where the refused lines go, to be corrected and sent again.")
    ] = None,
) -> None:
    """Put legacy marks on record; status 1 when a line was refused, the rest goes in all the same."""
    if table.stat().st_size > MOST_BYTES:
        raise TooLarge(
            f"a table of marks has at most {MOST_BYTES:,} bytes",
            field="table",
            value=table,
            todo="Send it in parts",
        )
    if refused is not None:
        hold_place(refused, option="--refused")
    with opened() as workshop, ERR.status("comparing each line with the records"):
        answer = import_marks(workshop, table.read_bytes(), prepare_only=prepare, actor=TERMINAL)
    would = "would go in" if prepare else "went in"
    say(f"{answer.lines:,} lines: {answer.added:,} {would}, {answer.already:,} on record already")
    for one in answer.refused:
        where = f" in column {one.column}" if one.column else ""
        say(f"  line {one.line}{where}, '{one.value}': {one.message}. {one.todo}.")
    if not answer.refused:
        return
    if refused is not None:
        write_file(refused, answer.refused_csv.encode(), option="--refused")
        say(f"{refused}: the {len(answer.refused):,} refused lines with the reasons")
    raise typer.Exit(1)
