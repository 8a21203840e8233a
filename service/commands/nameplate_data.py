"""Nameplates as data from the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from service.commands.terminal import hold_place, opened, say, write_file
from service.work.nameplate_data import nameplate_data as made


def nameplate_data(
    mark: Annotated[str, typer.Argument(help="Number or key of one segment, or key of one of its pieces.")],
    to: Annotated[Path, typer.Option("--out", help="The JSON file to write.")],
) -> None:
    """Write the nameplate of a segment as data: Digital Nameplate, IDTA 02006-3-0."""
    hold_place(to)
    with opened() as workshop:
        data, missing = made(workshop, mark)
    write_file(to, data)
    say(f"{to}: {len(data):,} bytes")
    for one in missing:
        say(f"  {one.element} is not on record. {one.todo}.")
