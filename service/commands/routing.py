"""Programs for a router from the terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, get_args

import typer

from service.commands.marks import Why, choice_of, is_kit
from service.commands.terminal import TERMINAL, hold_place, opened, progress, say, write_file
from service.errors import BadRequest
from service.work.router_program import USUAL_ROUTER, program_segment
from service.work.router_room import Zero


def route(
    mark: Annotated[str, typer.Argument(help="Number or key of one segment.")],
    to: Annotated[Path, typer.Option("--out", help="The program to write.")],
    router: Annotated[str, typer.Option(help="Name of the router, as its file says it.")] = USUAL_ROUTER,
    tool: Annotated[int | None, typer.Option(help="Tool that engraves; the first that can unless said.")] = None,
    *,
    profile: Annotated[
        bool, typer.Option("--profile", help="Cut the revision's letter, the holes and the outside contour as well.")
    ] = False,
    zero: Annotated[str, typer.Option(help="Where X 0 Y 0 lies: corner or drawing.")] = "corner",
    override: Why = None,
) -> None:
    """Write the program that a router engraves a segment with, and cuts it out if asked for."""
    if is_kit(mark):
        raise BadRequest(
            "a program is for one segment", field="mark", value=mark, todo="Name a segment by its number or key"
        )
    choice = choice_of(mark, None, override)
    lies = _zero(zero)
    hold_place(to)
    with opened() as workshop, progress(1) as step:
        step(f"planning, writing and reading back {mark}")
        program = program_segment(
            workshop,
            mark,
            router=router,
            tool=tool,
            profile=profile,
            zero=lies,
            override=choice.override,
            actor=TERMINAL,
        )
    write_file(to, program.data)
    say(f"{to}: {len(program.data):,} bytes, its path read back. Prove it over the sheet first.")


def _zero(word: str) -> Zero:
    for known in get_args(Zero):
        if word == known:
            lies: Zero = known
            return lies
    raise BadRequest("no such zero", field="--zero", value=word, todo="Use corner or drawing")
