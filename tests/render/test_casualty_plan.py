"""The plan shaded by how often parts break: every figure is written, darker is more, the shades are explained."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from service.render.casualty_plan import DARKEST, STEPS, casualty_plan, shade
from tests.part_factory import make_plan_part


def drawn(rates: tuple[float, ...]) -> str:
    parts = [make_plan_part(place=f"SW2-U{index}") for index in range(1, len(rates) + 1)]
    by_number = {part.id: rate for part, rate in zip(parts, rates, strict=True)}
    return casualty_plan(parts, rates=by_number, mean=sum(rates) / len(rates), width_px=800, title="What breaks")


def test_every_part_carries_its_figure_and_the_shades_are_explained() -> None:
    picture = drawn((0.02, 0.81))
    assert ">U1 0.02<" in picture
    assert ">U2 0.81<" in picture
    assert "broken a year and piece" in picture
    assert picture.count("<rect") == len(STEPS) + 1


@given(one=st.floats(0, 10), other=st.floats(0, 10), mean=st.floats(0.01, 5))
def test_more_is_never_lighter(one: float, other: float, mean: float) -> None:
    low, high = sorted((one, other))
    assert sum(shade(high, mean)) <= sum(shade(low, mean))


def test_each_shade_is_darker_than_the_one_before() -> None:
    shades = [colour for _, colour in STEPS] + [DARKEST]
    assert all(sum(darker) < sum(lighter) for lighter, darker in pairwise(shades))


def test_no_parts_have_no_key() -> None:
    assert "<rect" not in casualty_plan([], rates={}, mean=0.0, width_px=800, title="What breaks")
