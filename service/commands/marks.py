"""Marks from the terminal: print them, engrave them, and say what one says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from pydantic import Field

from schemas.answers import RepairAnswer
from schemas.faults import checked
from schemas.manifest import Part
from schemas.text import Reason
from service.commands.terminal import OUT, TERMINAL, hold_place, opened, progress, say, write_file
from service.errors import BadRequest
from service.work.engrave import engrave_kit, engrave_segment
from service.work.read import read_mark

MarkOf = Annotated[str, typer.Argument(help="Kit number, or number or key of one segment.")]
SetOf = Annotated[int | None, typer.Option("--set", help="Only what is fitted of this set of the kit.")]
Why = Annotated[str | None, typer.Option("--override", help="Why, although the kit is retired; goes on record.")]


class Choice(Part):
    """Which of a kit's pieces are marked, and why although the kit is retired."""

    set: Annotated[int, Field(ge=1, le=10_000)] | None
    override: Reason | None


def engrave(
    mark: MarkOf,
    to: Annotated[Path, typer.Option("--out", help="The file to write: .zip for a kit, .dxf or .svg for a segment.")],
    set_number: SetOf = None,
    override: Why = None,
) -> None:
    """Write the engraving of a kit, of one set of it, or of one segment."""
    choice = choice_of(mark, set_number, override)
    form = to.suffix.lower().lstrip(".")
    if not is_kit(mark) and form not in ("dxf", "svg"):
        raise BadRequest("no such form", field="--out", value=to.name, todo="End the name in .dxf or .svg")
    hold_place(to)
    with opened() as workshop, progress(1) as step:
        step(f"engraving {mark}")
        if is_kit(mark):
            data = engrave_kit(workshop, mark, set_number=choice.set, override=choice.override, actor=TERMINAL)
        else:
            data = engrave_segment(
                workshop, mark, form="dxf" if form == "dxf" else "svg", override=choice.override, actor=TERMINAL
            )
    write_file(to, data)
    say(f"{to}: {len(data):,} bytes")


def read(mark: Annotated[str, typer.Argument(help="What was typed or scanned.")]) -> None:
    """Say what a mark says."""
    with opened() as workshop:
        answer = read_mark(workshop, mark)
    OUT.print(f"[bold]{answer.outcome}[/]  {answer.number or answer.key or ''}", highlight=False)
    if answer.note:
        OUT.print(answer.note, markup=False, highlight=False)
    say_repairs(answer.repairs)
    for candidate in answer.candidates:
        assumed = "; ".join(candidate.assumed)
        OUT.print(f"  {candidate.number or candidate.key or candidate.part}  {assumed}", markup=False, highlight=False)
    for group in answer.groups:
        OUT.print(f"  {group.group}: {group.says}", markup=False, highlight=False)


def say_repairs(repairs: Sequence[RepairAnswer]) -> None:
    """Which characters were read as others."""
    for repair in repairs:
        say(f"  character {repair.position + 1}: '{repair.read}' read as '{repair.as_}'")


def is_kit(mark: str) -> bool:
    """Whether a mark has the three groups of a kit's number."""
    return mark.count("-") == 2 and not mark.upper().startswith("HTTP")


def choice_of(mark: str, set_number: int | None, override: str | None) -> Choice:
    """What was chosen, held to the same rules as over the API."""
    if set_number is not None and not is_kit(mark):
        raise BadRequest(
            "a set is chosen for a whole kit",
            field="--set",
            value=set_number,
            todo="Name the kit, or the key of the piece",
        )
    return checked(Choice, {"set": set_number, "override": override})
