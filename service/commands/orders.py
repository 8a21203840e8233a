"""Orders from the terminal: a step further, the plant's answer whether a piece is fitted, and open work."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from schemas.answers import ReorderAnswer
from schemas.answers.order_states import OrderState
from schemas.faults import checked
from schemas.order_states import FittedAnswerRequest, StepRequest
from service.commands.terminal import OUT, TERMINAL, hold_place, opened, say, write_file
from service.errors import BadRequest
from service.rules.order_states import STATES
from service.work.ask_fitted import answer_fitted
from service.work.open_work import open_work as open_orders
from service.work.open_work import open_work_csv
from service.work.order_states import step_order


def step(
    order: Annotated[int, typer.Argument(help="Id of the reorder.", min=1)],
    state: Annotated[str, typer.Argument(help="The state that it reached, for one released_to_cut.")],
    *,
    reason: Annotated[str | None, typer.Option(help="Why; a step back and a cancellation need one.")] = None,
    evidence: Annotated[str, typer.Option(help="On what evidence, in words.")] = "",
    measured: Annotated[
        list[str] | None,
        typer.Option(
            help="With inspected: feature=value in mm, and @temperature in °C; may repeat. thickness=25.06@23"
        ),
    ] = None,
    promised_on: Annotated[str | None, typer.Option(help="The day that the customer was promised.")] = None,
    deviations: Annotated[str | None, typer.Option(help="With fitted: rework that was done on site.")] = None,
) -> None:
    """Take an order a step further, or back with a reason."""
    asked = checked(
        StepRequest,
        {
            "state": state,
            "reason": reason,
            "evidence": evidence,
            "measured": [_measured(one) for one in measured or ()],
            "promised_on": promised_on,
            "deviations": deviations,
        },
    )
    with opened() as workshop:
        _show(step_order(workshop, order, asked, actor=TERMINAL))


def fitted(
    order: Annotated[int, typer.Argument(help="Id of the reorder.", min=1)],
    answer: Annotated[str, typer.Argument(help="What the plant says: yes, not_yet or no.")],
    *,
    why: Annotated[str | None, typer.Option(help="With no: does_not_lock or damaged_again.")] = None,
    reason: Annotated[str | None, typer.Option(help="With no: in words.")] = None,
    deviations: Annotated[str | None, typer.Option(help="With yes: rework that was done on site.")] = None,
) -> None:
    """Write down what the plant says when it is asked whether the new piece is in the machine."""
    asked = checked(FittedAnswerRequest, {"answer": answer, "why": why, "reason": reason, "deviations": deviations})
    with opened() as workshop:
        told = answer_fitted(workshop, order, asked, actor=TERMINAL)
    _show(told)
    if answer == "no":
        say(f"  to be decided again: report {told.report}")


def open_work(
    *,
    state: Annotated[list[str] | None, typer.Option(help="Only orders at this state; may repeat.")] = None,
    plant: Annotated[str | None, typer.Option(help="Only orders for the plant with this code.")] = None,
    ask_fitted: Annotated[
        bool, typer.Option("--ask-fitted", help="Only orders of which the plant is to be asked now.")
    ] = False,
    to: Annotated[Path | None, typer.Option("--out", help="Write the table there: .csv or .json.")] = None,
) -> None:
    """Every order that is neither fitted nor cancelled, the oldest first."""
    states = [_state(one) for one in state or ()]
    if to is not None:
        hold_place(to)
        if to.suffix not in (".csv", ".json"):
            raise BadRequest("the table is .csv or .json", field="--out", value=to, todo="Name open-work.csv, for one")
    with opened() as workshop:
        found = open_orders(workshop, states=states, plant=plant, ask_fitted=True if ask_fitted else None)
    if to is not None:
        text = open_work_csv(found) if to.suffix == ".csv" else f"{found.model_dump_json(indent=2)}\n"
        write_file(to, text.encode())
        say(f"{to}: {len(found.rows)} orders")
        return
    for row in found.rows:
        asks = ", ask whether it is fitted" if row.ask_fitted else ""
        cut = f"{row.cut_file} rev {row.revision}" if row.cut_file else "nothing to cut from"
        say(f"reorder {row.order}: {row.state.replace('_', ' ')} since {row.since}{asks}, {row.number}, {cut}")


def _state(text: str) -> OrderState:
    for state in STATES:
        if state == text.strip().lower().replace(" ", "_"):
            return state
    raise BadRequest("an order has no such state", field="--state", value=text, todo=f"Use one of {', '.join(STATES)}")


def _measured(text: str) -> dict[str, object]:
    feature, equals, value = text.partition("=")
    read, at, temperature = value.partition("@")
    try:
        values = (float(read), float(temperature) if at else None)
    except ValueError:
        equals = ""
        values = (0.0, None)
    if not equals:
        raise BadRequest(
            "what was measured is written feature=value, in mm",
            field="--measured",
            value=text,
            todo="Write, for one, thickness=25.06@23",
        )
    measured: dict[str, object] = {"feature": feature, "measured_mm": values[0]}
    return measured if values[1] is None else {**measured, "temperature_c": values[1]}


def _show(answer: ReorderAnswer) -> None:
    OUT.print(f"[bold]reorder {answer.id}: {answer.state.replace('_', ' ')}[/]", highlight=False)
    last = answer.history[-1]
    if last.evidence:
        say(f"  {last.evidence}")
    for one in last.measured:
        aimed = "" if one.nominal_mm is None else f", {one.nominal_mm:g} mm was aimed at"
        say(f"  {one.feature}: {one.measured_mm:g} mm at {one.temperature_c:g} °C, {one.at_20c_mm:g} at 20 °C{aimed}")
    if answer.next_states:
        say(f"  next: {', '.join(answer.next_states)}")
