"""The shop's printers from the terminal: which there are, and what one of them can do just now."""

from __future__ import annotations

from typing import Annotated

import typer

from schemas.answers.printers import MediaAnswer, MediaRangeAnswer, PrinterAnswer
from service.commands.terminal import opened, say
from service.work.drawing_room import Paper
from service.work.print_marks import DEFAULT_DPI
from service.work.printers import ask_printer, list_printers


def printers(
    printer: Annotated[
        str | None, typer.Argument(help="A printer of the shop by name, or ipp://host/path; all names unless said.")
    ] = None,
    template: Annotated[str | None, typer.Option(help="Say how marks of this template would go there.")] = None,
    paper: Annotated[Paper, typer.Option(help="A roll of labels, or sheets.")] = "roll",
    dpi: Annotated[int, typer.Option(help="203, 300 or 600.")] = DEFAULT_DPI,
) -> None:
    """Name the shop's printers, or ask one what it can do and how it is."""
    with opened() as workshop:
        if printer is None:
            for one in list_printers(workshop).printers:
                say(f"{one.name}  {one.uri}")
            return
        answer = ask_printer(workshop, printer, template=template, paper=paper, dpi=dpi, any_address=True)
    _say(answer)


def _say(answer: PrinterAnswer) -> None:
    reasons = f" ({', '.join(answer.reasons)})" if answer.reasons else ""
    say(f"{answer.name}  {answer.model}  {answer.state}{reasons}")
    say(f"  takes    {', '.join(answer.formats)}")
    say(f"  dots     {', '.join(f'{dpi} an inch' for dpi in answer.dpi)}")
    say(f"  loaded   {', '.join(_size(one) for one in answer.media if one.loaded) or 'it does not say'}")
    others = [_size(one) for one in answer.media if not one.loaded] + [_range(one) for one in answer.ranges]
    if others:
        say(f"  takes    {', '.join(others)}")
    if answer.plan is not None:
        turned = ", turned by a quarter" if answer.plan.turned else ""
        size = f"{answer.plan.width_mm:g} × {answer.plan.height_mm:g} mm"
        say(f"  {answer.plan.template} goes there as {answer.plan.format} on {size}{turned}")
        for note in answer.plan.notes:
            say(f"  {note}")


def _size(one: MediaAnswer) -> str:
    return f"{one.width_mm:g} × {one.height_mm:g} mm"


def _range(one: MediaRangeAnswer) -> str:
    least = f"{one.least_width_mm:g} × {one.least_height_mm:g}"
    return f"{least} to {one.most_width_mm:g} × {one.most_height_mm:g} mm"
