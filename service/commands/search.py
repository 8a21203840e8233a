"""The service desk from the terminal: half a number, what the caller knows, and what to ask next."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

import typer
from rich.markup import escape
from rich.table import Table

from schemas.faults import checked
from schemas.search import QUESTIONS, EvidencePart, SearchAnswer, SearchCandidate, SearchRequest
from service.commands.terminal import OUT, TERMINAL, opened, say
from service.errors import BadRequest
from service.work.outline_figures import measure_outlines
from service.work.search import search as search_segments


def search(
    mark: Annotated[
        str | None,
        typer.Argument(
            help="What can be read of the mark: ? for a sign that cannot be read, * for any number of them."
        ),
    ] = None,
    *,
    came_by: Annotated[str | None, typer.Option("--by", help="How the mark came in: eye, ear or keyboard.")] = None,
    tell: Annotated[
        list[str] | None,
        typer.Option(
            "--tell",
            help=f"What the caller said, as question=answer; may repeat. Questions: {', '.join(QUESTIONS)}. "
            "A length may say how far it may be out: overall_length_mm=418~5. Without an answer he does not know.",
        ),
    ] = None,
    breakages: Annotated[
        bool, typer.Option("--breakages", help="Take what broke more often so far for likelier.")
    ] = False,
    limit: Annotated[int, typer.Option(help="How many candidates to show at most.")] = 10,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as the API does.")] = False,
) -> None:
    """Find the segment that half a number and a caller's answers may mean, and what to ask next."""
    request = checked(
        SearchRequest,
        {
            "mark": mark,
            "came_by": came_by,
            "evidence": [_told(one) for one in tell or ()],
            "prior": "breakages" if breakages else "uniform",
            "limit": limit,
        },
    )
    with opened() as workshop:
        answer = search_segments(workshop, request)
    if as_json:
        say(answer.model_dump_json(indent=2))
    else:
        _show(answer)


def _told(text: str) -> EvidencePart:
    """One answer of the caller, from ``question=answer`` or ``question=answer~tolerance``."""
    question, equals, said = text.partition("=")
    if not equals:
        raise BadRequest(
            "a question and its answer are parted by =", field="--tell", value=text, todo="Write it like deck=upper"
        )
    answer, tilde, tolerance = said.partition("~")
    return checked(
        EvidencePart,
        {"question": question.strip(), "answer": answer, "tolerance_mm": tolerance.strip() if tilde else None},
    )


def _show(answer: SearchAnswer) -> None:
    for ignored in answer.ignored:
        OUT.print(f"left aside: {ignored.question} '{ignored.answer}': {ignored.reason}", markup=False, highlight=False)
    if not answer.candidates:
        say("no number was issued yet")
        return
    table = Table.grid(padding=(0, 2))
    table.add_column(justify="right")
    table.add_column(overflow="fold")
    for candidate in answer.candidates:
        table.add_row(f"[bold]{_share(candidate.probability)}[/]", f"[bold]{candidate.number}[/]")
        for line in _lines(candidate):
            table.add_row("", escape(line))
    OUT.print(table, highlight=False)
    segments = "segment holds" if answer.left == 1 else "segments hold"
    say(f"{answer.left} {segments} 95 % of the likelihood; {answer.consistent} agree with every sign that was read")
    if answer.next_question is None:
        return
    asked = answer.next_question
    OUT.print(f"\n[bold]ask:[/] {asked.ask}", highlight=False)
    for expected in asked.answers:
        say(f"  {expected.share:5.0%}  {expected.answer}")


def _lines(candidate: SearchCandidate) -> Iterator[str]:
    """What is on record of a candidate, what speaks for it and against it, and what was assumed of the mark."""
    state = "" if candidate.status == "active" else f", {candidate.status}"
    yield f"{candidate.assembly} {candidate.place}, {candidate.stock_colour}, for {candidate.container}{state}"
    yield ", ".join(filter(None, (candidate.plant, candidate.line, candidate.machine)))
    for verdict in ("for", "against"):
        told = [f"{one.question} {one.recorded or ''}".strip() for one in candidate.evidence if one.speaks == verdict]
        if told:
            yield f"{verdict}: {'; '.join(told)}"
    if candidate.assumed:
        yield f"assumed: {', '.join(candidate.assumed)}"


def _share(probability: float) -> str:
    return "<0.1 %" if probability < 0.001 else f"{probability:.1%}".replace("%", " %")


def measure() -> None:
    """Measure the outlines of revisions that were released before their length and pockets were kept."""
    with opened() as workshop:
        count = measure_outlines(workshop, actor=TERMINAL, tell=lambda done: say(f"{done} measured"))
    say("every outline is measured" if count == 0 else f"{count} outlines measured")
