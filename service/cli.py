"""The command ``kitwright``: every command of the terminal under its name, and the one place where errors end."""

from __future__ import annotations

import sys
from collections.abc import Callable

import typer

from service.commands import (
    damage,
    desk,
    import_marks,
    kits,
    marks,
    nameplate_data,
    orders,
    printers,
    printing,
    records,
    routing,
    search,
    serving,
    templates,
)
from service.commands.terminal import say_error
from service.errors import KitwrightError

COMMANDS: dict[str, Callable[..., None]] = {
    "serve": serving.serve,
    "demo": serving.demo,
    "issue": kits.issue,
    "print": printing.print_,
    "printers": printers.printers,
    "nameplate-data": nameplate_data.nameplate_data,
    "engrave": marks.engrave,
    "route": routing.route,
    "book": kits.book,
    "read": marks.read,
    "search": search.search,
    "measure-outlines": search.measure,
    "report": damage.report,
    "reports": damage.reports,
    "choose": damage.choose,
    "reorder": desk.reorder,
    "step": orders.step,
    "fitted": orders.fitted,
    "open-work": orders.open_work,
    "import": import_marks.import_,
    "lint-template": templates.lint_template,
    "verify-ledger": records.verify_ledger,
    "export": records.export,
    "restore": records.restore,
    "backup": records.backup,
}

app = typer.Typer(no_args_is_help=True, add_completion=False, help="Numbers, marks and the revision that still locks.")
for _name, _command in COMMANDS.items():
    app.command(name=_name)(_command)


def main() -> None:
    """Run the command; an error is said in words and ends with status 1."""
    try:
        app()
    except KitwrightError as error:
        say_error(error)
        sys.exit(1)
