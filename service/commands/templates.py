"""Label templates from the terminal: everything that is wrong with a file, line by line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer
from rich.table import Table
from rich.text import Text

from service.commands.terminal import ERR, OUT, say
from service.settings import read_settings
from service.work.lint_template import Linted, lint_files, recorded_at
from service.work.templates import lint_answer

_STYLE = {"error": "bold red", "warning": "yellow"}


def lint_template(
    files: Annotated[list[Path], typer.Argument(help="Template files, TOML; may be many.", metavar="FILE...")],
    *,
    damage: Annotated[
        bool, typer.Option(help="Damage an example of the marks of a template that states floors; takes some seconds.")
    ] = True,
    as_json: Annotated[bool, typer.Option("--json", help="Write the findings as JSON.")] = False,
) -> None:
    """Say everything that is wrong with label templates; status 1 when one has an error. Notes alone are no error."""
    settings = read_settings()
    recorded = recorded_at(settings.database_url, settings.link_url)
    if recorded is None:
        ERR.print("There are no records yet: examples stand for the longest texts.", highlight=False)
    linted: list[Linted] = []
    with ERR.status("looking at templates") as status:
        for path, one in zip(files, lint_files(files, recorded=recorded, damage=damage), strict=True):
            status.update(str(path))
            linted.append(one)
    if as_json:
        said = [
            {"file": str(path), **lint_answer(one).model_dump(mode="json")}
            for path, one in zip(files, linted, strict=True)
        ]
        say(json.dumps(said, ensure_ascii=False, indent=2))
    else:
        for path, one in zip(files, linted, strict=True):
            _say_findings(path, one)
    if not all(one.is_clean for one in linted):
        raise typer.Exit(1)


def _say_findings(path: Path, linted: Linted) -> None:
    errors = sum(finding.level == "error" for finding in linted.findings)
    notes = len(linted.findings) - errors
    counted = [f"{count} {word if count == 1 else word + 's'}" for count, word in ((errors, "error"), (notes, "note"))]
    say(f"{path}: {', '.join(counted) if linted.findings else 'clean'}")
    if not linted.findings:
        return
    table = Table(show_lines=False, pad_edge=False, box=None)
    for heading in ("Line", "Field", "Rule", "What is wrong, and what to do"):
        table.add_column(heading, overflow="fold", justify="right" if heading == "Line" else "left")
    for finding in linted.findings:
        what = Text(f"{finding.message}. {finding.todo}.")
        if finding.source:
            what.append(f" ({finding.source})", style="dim")
        table.add_row(
            "" if finding.line is None else str(finding.line),
            Text(finding.field),
            Text(finding.rule, style=_STYLE[finding.level]),
            what,
        )
    OUT.print(table)
