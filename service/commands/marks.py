"""Marks from the terminal: print them, engrave them, and say what one says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from pydantic import Field

from schemas.answers import ReadAnswer, RepairAnswer
from schemas.faults import checked
from schemas.manifest import Part
from schemas.text import Reason
from service.commands.terminal import OUT, TERMINAL, hold_place, opened, progress, say, write_file
from service.errors import BadRequest
from service.work.cutter_choice import chosen_cutter
from service.work.engrave import engrave_kit, engrave_segment
from service.work.read import read_mark
from service.work.read_picture import MOST_BYTES, read_picture

MarkOf = Annotated[str, typer.Argument(help="Kit number, or number or key of one segment.")]
SetOf = Annotated[int | None, typer.Option("--set", help="Only what is fitted of this set of the kit.")]
CutterOf = Annotated[
    str | None, typer.Option("--cutter", help="flat, vee or ball; a straight one of 0.5 mm unless said.")
]
DiameterOf = Annotated[float | None, typer.Option("--diameter", help="Of the cutter, in mm.")]
DepthOf = Annotated[float | None, typer.Option("--depth", help="How deep the grooves are, in mm.")]
AngleOf = Annotated[float | None, typer.Option("--angle", help="Included angle of a V cutter, in degrees.")]
TipOf = Annotated[float | None, typer.Option("--tip", help="Flat at the point of a V cutter, in mm.")]
Why = Annotated[str | None, typer.Option("--override", help="Why, although the kit is retired; goes on record.")]


class Choice(Part):
    """Which of a kit's pieces are marked, and why although the kit is retired."""

    set: Annotated[int, Field(ge=1, le=10_000)] | None
    override: Reason | None


def engrave(
    mark: MarkOf,
    to: Annotated[Path, typer.Option("--out", help="The file to write: .zip for a kit, .dxf or .svg for a segment.")],
    set_number: SetOf = None,
    cutter: CutterOf = None,
    *,
    diameter: DiameterOf = None,
    depth: DepthOf = None,
    angle: AngleOf = None,
    tip: TipOf = None,
    override: Why = None,
) -> None:
    """Write the engraving of a kit, of one set of it, or of one segment."""
    choice = choice_of(mark, set_number, override)
    tool = chosen_cutter(cutter, diameter_mm=diameter, depth_mm=depth, angle_deg=angle, tip_mm=tip)
    form = to.suffix.lower().lstrip(".")
    if not is_kit(mark) and form not in ("dxf", "svg"):
        raise BadRequest(
            "no such form",
            field="--out",
            value=to.name,
            todo="End the name in .dxf or .svg; route writes programs",
        )
    hold_place(to)
    with opened() as workshop, progress(1) as step:
        step(f"engraving {mark}")
        if is_kit(mark):
            data = engrave_kit(
                workshop, mark, set_number=choice.set, cutter=tool, override=choice.override, actor=TERMINAL
            )
        else:
            data = engrave_segment(
                workshop,
                mark,
                form="dxf" if form == "dxf" else "svg",
                cutter=tool,
                override=choice.override,
                actor=TERMINAL,
            )
    write_file(to, data)
    say(f"{to}: {len(data):,} bytes")


def read(
    mark: Annotated[str | None, typer.Argument(help="What was typed or scanned.")] = None,
    *,
    picture: Annotated[
        Path | None, typer.Option("--picture", help="A photograph of a plate instead, also of a damaged one.")
    ] = None,
) -> None:
    """Say what a mark says, or a picture of one."""
    if (mark is None) == (picture is None):
        raise BadRequest(
            "a mark is read or a picture",
            field="--picture",
            value=picture,
            todo="Give the mark, or --picture and a file",
        )
    if picture is not None:
        say_picture(picture)
        return
    assert mark is not None
    with opened() as workshop:
        answer = read_mark(workshop, mark)
    say_reading(answer)


def say_picture(picture: Path) -> None:
    """What the plate in a picture says, and how it was read."""
    try:
        with picture.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise BadRequest(
            f"the file cannot be read ({error.strerror or error})",
            field="--picture",
            value=picture,
            todo="Name a file with a picture",
        ) from error
    with opened() as workshop:
        answer = read_picture(workshop, data).answer
    say_reading(answer)
    if answer.how == "alone":
        say("decoded as usual")
    elif answer.margin is not None:
        needed = "" if answer.how == "merged" else f"; an answer needs 10^{answer.margin_needed:g}"
        say(f"all symbols together: 10^{answer.margin:.1f} times likelier than any other key{needed}")
    for symbol in answer.symbols:
        legible = "" if symbol.legible is None else f"  {symbol.legible:.0%} legible"
        say(f"  {symbol.kind}  {symbol.text or ''}{legible}".rstrip())


def say_reading(answer: ReadAnswer) -> None:
    """A reading, with what was repaired and what it may be."""
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
