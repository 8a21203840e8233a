"""The service desk from the terminal: one broken segment is ordered again."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from schemas.answers import ReorderAnswer
from schemas.faults import checked
from schemas.requests import ReorderRequest
from service.commands.terminal import OUT, TERMINAL, hold_place, opened, say, write_file
from service.errors import BadRequest
from service.work.packet import reorder_packet
from service.work.reorder import reorder as reorder_segment


def reorder(
    mark: Annotated[str, typer.Argument(help="Mark of the damaged piece.")],
    *,
    reason: Annotated[str, typer.Option(help="What happened to it.")],
    quantity: Annotated[int, typer.Option(help="How many pieces to make.")] = 1,
    newest: Annotated[bool, typer.Option(help="Prefer the newest revision that still locks.")] = False,
    survivor: Annotated[
        list[str] | None,
        typer.Option(help="Mark of a neighbour that survived; may repeat. All of them unless one is named."),
    ] = None,
    no_survivors: Annotated[bool, typer.Option("--no-survivors", help="No neighbour of it survived.")] = False,
    set_number: Annotated[
        int | None, typer.Option("--set", help="The set of the damaged piece, where the mark is no piece's key.")
    ] = None,
    override: Annotated[str | None, typer.Option(help="Why, although the kit is retired; goes on record.")] = None,
    also: Annotated[
        str | None, typer.Option(help="Why one more is wanted, although one may be on order already.")
    ] = None,
    report: Annotated[int | None, typer.Option(help="The damage report that it comes of.")] = None,
    packet: Annotated[Path | None, typer.Option(help="Where to write the packet.")] = None,
) -> None:
    """Order one broken segment again and say which revision to cut, and why."""
    if no_survivors and survivor:
        raise BadRequest(
            "some survived or none did", field="--survivor", value=survivor[0], todo="Leave --no-survivors out, or this"
        )
    request = checked(
        ReorderRequest,
        {
            "mark": mark,
            "reason": reason,
            "quantity": quantity,
            "prefer": "newest" if newest else "as_built",
            "survivors": [] if no_survivors else survivor or None,
            "set": set_number,
            "override": override,
            "also": also,
            "report": report,
        },
    )
    if packet is not None:
        hold_place(packet, option="--packet")
    with opened() as workshop:
        answer = reorder_segment(workshop, request, actor=TERMINAL)
        # What was decided is on record from here on, and is said whatever becomes of the packet.
        show_reorder(answer)
        if packet is not None:
            write_file(
                packet,
                reorder_packet(workshop, answer.id, override=request.override, actor=TERMINAL),
                option="--packet",
            )


def show_reorder(answer: ReorderAnswer) -> None:
    """A decision: what is cut, what else with it, and why."""
    OUT.print(f"[bold]reorder {answer.id}: {answer.outcome}[/]", highlight=False)
    if answer.cut is not None:
        say(f"cut {answer.cut.cut_file} rev {answer.cut.revision}")
    for also in answer.also_cut:
        say(f"also cut {also.number}: {also.cut_file} rev {also.revision}")
    for reason in answer.reasons:
        OUT.print(f"  - {reason}", markup=False, highlight=False)
