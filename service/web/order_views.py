"""What the pages show of orders: how far each is, what comes next, and who said so."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from schemas.answers import ReorderAnswer
from schemas.answers.order_states import StepAnswer
from schemas.damage_report import DamageReportSummaryAnswer
from schemas.open_work import OpenWorkRowAnswer
from service.rules.order_states import STATES, State, is_step_back
from service.web.order_words import ON_THE_WAY, STATE_WORDS, state_name
from service.web.views import Number


@dataclass(frozen=True, slots=True)
class TimelineStep:
    """A state on the way of an order.

    Attributes:
        name: of the state.
        reached: the last step that reached it and was not undone; None while it is ahead.
        now: whether the order stands here.
    """

    name: str
    reached: StepAnswer | None
    now: bool


@dataclass(frozen=True, slots=True)
class NextStep:
    """A state that may follow, and the button that takes the order there."""

    state: State
    button: str
    back: bool


@dataclass(frozen=True, slots=True)
class OrderProgress:
    """How far an order is.

    Attributes:
        timeline: every state on the way.
        ahead: the plain next step of the shop; None where none is, or where it is the plant's to say.
        back: steps back, for which a reason is given.
        log: every step that was taken, oldest first.
        ask_fitted: whether the plant is to be asked now.
    """

    timeline: tuple[TimelineStep, ...]
    ahead: NextStep | None
    back: tuple[NextStep, ...]
    log: tuple[StepAnswer, ...]
    ask_fitted: bool

    @classmethod
    def of(cls, facts: ReorderAnswer, now: str) -> OrderProgress:
        """From an order.

        Args:
            facts: the order.
            now: the moment, UTC, ISO 8601.
        """
        steps = [
            NextStep(state, _button(state, facts.state), is_step_back(facts.state, state)) for state in _shop(facts)
        ]
        return cls(
            timeline=_timeline(facts),
            ahead=next((step for step in steps if not step.back), None),
            back=tuple(step for step in steps if step.back),
            log=facts.history,
            ask_fitted=facts.ask_fitted_at is not None and facts.ask_fitted_at <= now,
        )

    @property
    def last(self) -> str:
        """Where it stands, as a word."""
        return next((step.name for step in self.timeline if step.now), "")


def _shop(facts: ReorderAnswer) -> Iterable[State]:
    """What the shop says by itself; fitted and cancelled have forms of their own, decided comes of ordering again."""
    if facts.state == "identified":
        return ()
    return (state for state in facts.next_states if state not in ("fitted", "cancelled"))


def _button(state: State, now: State) -> str:
    if is_step_back(now, state):
        return {"decided": "Take it back to decided", "released_to_cut": "Cut it again"}[state]
    return STATE_WORDS[state].button


def _timeline(facts: ReorderAnswer) -> tuple[TimelineStep, ...]:
    last: dict[str, StepAnswer] = {step.state: step for step in facts.history}
    at = STATES.index(facts.state)
    closed_early = facts.state == "cancelled"
    shown = [
        TimelineStep(
            STATE_WORDS[state].name,
            last.get(state) if closed_early or STATES.index(state) <= at else None,
            state == facts.state,
        )
        for state in ON_THE_WAY
    ]
    if closed_early:
        shown = [step for step in shown if step.reached is not None]
        shown.append(TimelineStep(STATE_WORDS["cancelled"].name, last.get("cancelled"), now=True))
    return tuple(shown)


@dataclass(frozen=True, slots=True)
class WaitingOrder:
    """An open order in the list of work that waits."""

    facts: OpenWorkRowAnswer
    number: Number
    state: str
    waits: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """The work that waits, by state.

    Attributes:
        to_ask: shipped seven days ago or more: is it fitted?
        reports: damage reports of which no order came yet.
        groups: open orders by state, those nearest to the plant first; name, what they wait for, orders.
        more_reports: whether there are more reports than are shown.
    """

    to_ask: tuple[WaitingOrder, ...]
    reports: tuple[DamageReportSummaryAnswer, ...]
    groups: tuple[tuple[str, str, tuple[WaitingOrder, ...]], ...]
    more_reports: bool

    @classmethod
    def of(
        cls, rows: Iterable[OpenWorkRowAnswer], reports: Iterable[DamageReportSummaryAnswer], *, most_reports: int
    ) -> Waiting:
        """From the open orders and the newest reports."""
        orders = [
            WaitingOrder(row, Number(row.number), state_name(row.state), STATE_WORDS[row.state].waits) for row in rows
        ]
        by_state: Mapping[State, list[WaitingOrder]] = {state: [] for state in STATES}
        for order in orders:
            if not order.facts.ask_fitted:
                by_state[order.facts.state].append(order)
        open_reports = [report for report in reports if report.state in ("reported", "identified") and not report.order]
        return cls(
            to_ask=tuple(order for order in orders if order.facts.ask_fitted),
            reports=tuple(open_reports[:most_reports]),
            groups=tuple(
                (STATE_WORDS[state].name, STATE_WORDS[state].waits, tuple(found))
                for state, found in reversed(list(by_state.items()))
                if found
            ),
            more_reports=len(open_reports) > most_reports,
        )

    @property
    def nothing(self) -> bool:
        """Whether nothing waits."""
        return not (self.to_ask or self.reports or self.groups)
