"""How an order goes: the law by a machine of states, and what stands in the trade's words."""

from __future__ import annotations

from typing import get_args

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from schemas.answers.order_states import OrderState
from service.rules.duplicates import Broken, may_be_the_same
from service.rules.order_states import CLOSED, STATES, State, is_step_back, next_states


def test_the_states_are_those_of_the_answers() -> None:
    assert get_args(OrderState) == get_args(State) == STATES


def test_each_state_leads_where_the_trade_goes() -> None:
    assert {state: next_states(state) for state in STATES} == {
        "reported": ("identified", "cancelled"),
        "identified": ("decided", "fitted", "cancelled"),
        "decided": ("released_to_cut", "fitted", "cancelled"),
        "released_to_cut": ("decided", "cut", "fitted", "cancelled"),
        "cut": ("released_to_cut", "inspected", "fitted", "cancelled"),
        "inspected": ("released_to_cut", "shipped", "fitted", "cancelled"),
        "shipped": ("fitted", "cancelled"),
        "fitted": (),
        "cancelled": (),
    }


class Order(RuleBasedStateMachine):
    """An order that takes any legal step: nothing is reached that was not led up to."""

    @initialize()
    def begin(self) -> None:
        self.state: State = "reported"
        self.been: list[State] = ["reported"]

    @rule(data=st.data())
    @precondition(lambda self: self.state not in CLOSED)
    def step(self, data: st.DataObject) -> None:
        self.state, before = data.draw(st.sampled_from(next_states(self.state))), self.state
        back = STATES.index(self.state) < STATES.index(before)
        assert is_step_back(before, self.state) is back
        self.been.append(self.state)

    @rule(state=st.sampled_from(STATES))
    def ask_for_anything(self, state: State) -> None:
        if self.state in CLOSED or STATES.index(state) > STATES.index(self.state) + 1:
            assert state not in next_states(self.state) or state in CLOSED

    @invariant()
    def what_stands_was_led_up_to(self) -> None:
        road = [state for state in STATES if state not in CLOSED]
        if self.state in road:
            assert set(road[: road.index(self.state)]) <= set(self.been)

    @invariant()
    def closed_is_closed(self) -> None:
        assert (next_states(self.state) == ()) is (self.state in CLOSED)
        assert not CLOSED & set(self.been[:-1])

    @invariant()
    def it_can_always_be_ended(self) -> None:
        if self.state not in CLOSED:
            assert "cancelled" in next_states(self.state)


TestOrder = Order.TestCase
TestOrder.settings = settings(max_examples=60, stateful_step_count=15, deadline=None)


def test_two_pieces_are_two_and_what_nobody_can_tell_apart_is_one() -> None:
    assert not may_be_the_same(Broken(1, 1), Broken(2, 1))
    assert may_be_the_same(Broken(1, 1), Broken(1, 1))
    assert not may_be_the_same(Broken(None, 1), Broken(3, 2))
    assert may_be_the_same(Broken(None, 1), Broken(3, 1))
    assert may_be_the_same(Broken(None, None), Broken(3, 2))
    assert may_be_the_same(Broken(4, None), Broken(None, 2))
