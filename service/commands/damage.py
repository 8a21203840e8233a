"""The service desk from the terminal: damage reports, from the first words to the segment that was chosen."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from schemas.damage_report import (
    ChoiceRequest,
    DamageReportAnswer,
    DamageReportRequest,
    DamageReportSummaryAnswer,
    EvidenceRequest,
)
from schemas.faults import checked
from service.commands.terminal import OUT, TERMINAL, opened, say
from service.errors import BadRequest
from service.work.damage_choice import choose as choose_segment
from service.work.damage_reports import add_evidence, add_report, list_reports, show_report
from service.work.report_photo import MOST_BYTES, add_photo

_NEWEST = 50


def report(
    words: Annotated[str, typer.Argument(help="What happened, in the caller's own words.")] = "",
    *,
    add_to: Annotated[int | None, typer.Option("--to", help="Add to this report instead of a new one.")] = None,
    mark: Annotated[str | None, typer.Option(help="The mark, or what is left of it: ? one sign, * any number.")] = None,
    came_by: Annotated[str | None, typer.Option("--by", help="How the mark came in: eye, ear or keyboard.")] = None,
    caller: Annotated[str, typer.Option(help="Who called.")] = "",
    telephone: Annotated[str, typer.Option(help="Where the caller can be reached.")] = "",
    tell: Annotated[
        list[str] | None,
        typer.Option("--tell", help="What the caller said, as question=answer; may repeat. A length: ...=418~5."),
    ] = None,
    photo: Annotated[
        list[Path] | None, typer.Option(help="A photograph of the mark; may repeat.", exists=True, dir_okay=False)
    ] = None,
    typed: Annotated[str, typer.Option(help="What is seen in the photograph.")] = "",
) -> None:
    """Write down what a caller says of a broken piece, and what may be on order already."""
    evidence = [_told(one) for one in tell or ()]
    with opened() as workshop:
        if add_to is None:
            asked = checked(
                DamageReportRequest,
                {
                    "words": words,
                    "mark": mark,
                    "came_by": came_by,
                    "caller": caller,
                    "telephone": telephone,
                    "evidence": evidence,
                },
            )
            answer = add_report(workshop, asked, actor=TERMINAL)
        else:
            facts = {"words": words, "caller": caller, "telephone": telephone}
            said = [{"question": name, "answer": value} for name, value in facts.items() if value]
            if mark is not None:
                said.append({"question": "mark", "answer": mark, **({"came_by": came_by} if came_by else {})})
            answer = show_report(workshop, add_to)
            if said or evidence:
                more = checked(EvidenceRequest, {"evidence": [*said, *evidence]})
                answer = add_evidence(workshop, add_to, more, actor=TERMINAL)
        for path in photo or ():
            with path.open("rb") as stream:
                data = stream.read(MOST_BYTES + 1)
            answer = add_photo(workshop, answer.id, data, typed=typed, actor=TERMINAL)
    _show(answer)


def reports(
    report_id: Annotated[int | None, typer.Argument(help="One report; the newest ones unless said.", min=1)] = None,
    *,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as the API does.")] = False,
) -> None:
    """Damage reports, the newest first, or one with everything that was said, shown and decided."""
    with opened() as workshop:
        if report_id is not None:
            answer = show_report(workshop, report_id)
            if as_json:
                say(answer.model_dump_json(indent=2))
            else:
                _show(answer)
            return
        found = list_reports(workshop, after=None, limit=_NEWEST)
    for one in found:
        say(one.model_dump_json() if as_json else _line(one))


def choose(
    report_id: Annotated[int, typer.Argument(help="The report.", min=1)],
    mark: Annotated[str, typer.Argument(help="Number of the segment, or key of the very piece.")],
    *,
    set_number: Annotated[int | None, typer.Option("--set", help="The set of the broken piece.")] = None,
    rejected: Annotated[list[str] | None, typer.Option(help="A number that was ruled out; may repeat.")] = None,
    reason: Annotated[str | None, typer.Option(help="On what grounds.")] = None,
) -> None:
    """Say which segment a damage report is about, and which were ruled out."""
    asked = checked(ChoiceRequest, {"mark": mark, "set": set_number, "rejected": rejected or (), "reason": reason})
    with opened() as workshop:
        answer = choose_segment(workshop, report_id, asked, actor=TERMINAL)
    _show(answer)


def _told(text: str) -> dict[str, object]:
    question, equals, answer = text.partition("=")
    if not equals:
        raise BadRequest(
            "what was said is written question=answer",
            field="--tell",
            value=text,
            todo="Write, for one, stock_colour=green",
        )
    told: dict[str, object] = {"question": question.strip(), "answer": answer.strip()}
    length, tilde, tolerance = answer.partition("~")
    if tilde and question.strip().endswith("_mm"):
        try:
            told |= {"answer": length.strip(), "tolerance_mm": float(tolerance)}
        except ValueError:
            raise BadRequest(
                "behind ~ stands how far a length may be off, in mm",
                field="--tell",
                value=text,
                todo="Write, for one, overall_length_mm=418~5",
            ) from None
    return told


def _line(one: DamageReportSummaryAnswer) -> str:
    about = one.number or one.mark or one.words
    order = f", reorder {one.order}" if one.order else ""
    return f"report {one.id}: {one.state.replace('_', ' ')}{order}, {one.reported_at}, {about}"


def _show(answer: DamageReportAnswer) -> None:
    OUT.print(f"[bold]report {answer.id}: {answer.state.replace('_', ' ')}[/]", highlight=False)
    for label, value in (
        ("words", answer.words),
        ("mark", answer.mark),
        ("segment", answer.number),
        ("ruled out", ", ".join(answer.choice.rejected) if answer.choice else ""),
        ("reorder", str(answer.order) if answer.order else ""),
    ):
        if value:
            say(f"  {label}: {value}")
    for one in answer.evidence:
        say(f"  - {one.question}: {one.answer} ({one.given_by}, {one.at})")
    for photo in answer.photos:
        say(f"  photograph {photo.id}: {photo.mark or 'nothing was read in it'}")
    for finding in answer.findings:
        say(f"  ! {finding.message}. {finding.todo}.")
