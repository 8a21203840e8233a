"""Kits from the terminal: issue one from its manifest, and set its paper book."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table

from schemas.answers import FindingAnswer, KitAnswer
from schemas.manifest_reading import read_manifest
from service.commands.terminal import OUT, TERMINAL, hold_place, opened, progress, say, write_file
from service.errors import BadRequest
from service.work.book import kit_book
from service.work.issue import issue_kit
from service.work.prepare import prepare_kit


def issue(
    manifest: Annotated[Path, typer.Argument(help="Kit manifest, JSON or a table.", exists=True, dir_okay=False)],
    *,
    prepare: Annotated[bool, typer.Option(help="Only show the numbers and findings; status 1 when refused.")] = False,
    token: Annotated[
        str | None, typer.Option(help="What preparing said; the kit is issued exactly as it was shown then.")
    ] = None,
) -> None:
    """Prepare and issue a kit."""
    read = read_manifest(manifest.read_bytes())
    with opened() as workshop:
        answer = prepare_kit(workshop, read) if prepare else issue_kit(workshop, read, token=token, actor=TERMINAL)
    show_kit(answer)
    if answer.status == "refused":
        raise typer.Exit(1)
    if answer.token:
        say(f"token {answer.token}")


def book(
    kit: Annotated[str, typer.Argument(help="Kit number.")],
    to: Annotated[Path, typer.Option("--out", help="The PDF to write.")],
    paper: Annotated[str, typer.Option(help="a4 or letter.")] = "a4",
) -> None:
    """Write the paper book of a kit: all that resolves its parts without this service."""
    if paper not in ("a4", "letter"):
        raise BadRequest("no such paper", field="--paper", value=paper, todo="Use a4 or letter")
    hold_place(to)
    with opened() as workshop, progress(1) as step:
        step(f"setting the book of {kit}")
        data = kit_book(workshop, kit, paper="letter" if paper == "letter" else "a4")
    write_file(to, data)
    say(f"{to}: {len(data):,} bytes, every page proves itself")


def show_kit(kit: KitAnswer) -> None:
    """A kit's numbers as a table, and its findings as sentences."""
    table = Table(title=f"{kit.number}  {kit.container}  ({kit.status})", title_justify="left")
    for column in ("number", "key", "cut file", "rev", "material", "mm", "kg", "qty"):
        table.add_column(column, no_wrap=column in ("number", "key"))
    for segment in kit.segments:
        table.add_row(
            segment.number,
            segment.pieces[0].key if segment.pieces else segment.key or "",
            segment.cut_file,
            segment.revision,
            segment.material,
            f"{segment.thickness_mm:g}",
            f"{segment.mass_kg:.2f}",
            str(segment.quantity),
        )
    OUT.print(table)
    for finding in kit.findings:
        OUT.print(f"  {finding.level}: {_sentence(finding)}", markup=False, highlight=False)


def _sentence(finding: FindingAnswer) -> str:
    where = f" at {finding.place}" if finding.place else ""
    return f"{finding.field} '{finding.value}'{where}: {finding.message}. {finding.todo}."
