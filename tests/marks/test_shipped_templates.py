"""The templates that are shipped: nothing to be said against them, the key in the corners, words in two languages."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from schemas.template_reading import read_bytes
from service.marks.layout import lay_out
from service.marks.template_lint import lint_template
from service.marks.worst_case import Recorded
from service.render.damages import Damage, loss, scratches
from service.render.fonts import typeface
from service.render.survival import run_trials
from tests.mark_factory import TEMPLATE_NAMES, make_facts, make_layout, make_template, template_text

PLATES = [name for name in TEMPLATE_NAMES if name.startswith("nameplate")]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_lint_has_nothing_to_say_and_not_a_note(name: str) -> None:
    """Letters have the preferred 20 minutes of arc even with the longest texts (NUREG-0700 rev. 3, 11.4.1.5-1)."""
    reading = read_bytes(template_text(name).encode())
    assert lint_template(reading, Recorded(), typeface(), source=f"{name}.toml") == ()


def test_a_link_that_costs_modules_is_noted_with_what_it_costs() -> None:
    reading = read_bytes(template_text("nameplate-50x18").encode())
    recorded = Recorded(public_url="https://kitwright.example.org/marks1")
    (note,) = lint_template(reading, recorded, typeface(), source="nameplate-50x18.toml")
    assert (note.rule, note.level) == ("link_costs_modules", "warning")
    assert "47 characters" in note.message
    assert "0.250 mm instead of 0.375 mm at 203 dpi" in note.message
    short = replace(recorded, public_url="https://k.example")
    assert lint_template(reading, short, typeface(), source="nameplate-50x18.toml") == ()


def test_there_are_eight_three_of_them_plates_and_one_of_these_in_two_languages() -> None:
    assert len(TEMPLATE_NAMES) >= 8
    assert len({(make_template(name).width_mm, make_template(name).height_mm) for name in PLATES}) == 3
    assert [make_template(name).languages for name in PLATES] == [("en",), ("en",), ("en", "de")]


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_the_key_stands_in_small_symbols_far_apart(name: str) -> None:
    template = make_template(name)
    keys = [symbol for symbol in template.symbols if (symbol.kind, symbol.content) == ("data_matrix", "key")]
    assert len(keys) >= 3
    for one, other in combinations(keys, 2):
        across, along = abs(one.x_mm - other.x_mm), abs(one.y_mm - other.y_mm)
        assert max(across / template.width_mm, along / template.height_mm) > 0.4


@pytest.mark.parametrize("name", PLATES)
@pytest.mark.parametrize(
    ("damages", "at_least"),
    [
        # The goals of the measured yardstick: four Data Matrix of 6 mm in the corners, blots and lines of 0.5 mm.
        ([loss(0.50, seed) for seed in range(900, 950)], 0.99),
        ([loss(0.65, seed) for seed in range(900, 950)], 0.90),
        ([scratches(3, seed) for seed in range(900, 930)], 1.00),
        ([scratches(6, seed) for seed in range(900, 930)], 0.98),
        ([scratches(12, seed) for seed in range(900, 930)], 0.85),
    ],
    ids=["half lost", "two thirds lost", "3 lines", "6 lines", "12 lines"],
)
def test_a_plate_gives_its_key_after_damage(name: str, damages: list[Damage], at_least: float) -> None:
    facts = make_facts()
    layout = lay_out(make_template(name), facts, typeface(), 8.0)
    trials = run_trials(layout, facts, damages)
    assert sum(trial.identity or trial.merged for trial in trials) >= at_least * len(trials)
    assert not any(trial.wrong for trial in trials)


def test_the_plate_in_two_languages_says_both_and_the_hand_whole() -> None:
    texts = [run.text for run in make_layout("nameplate-90x35", hand="RIGHT").texts()]
    assert "upper deck · segment 3 of 4" in texts
    assert "obere Ebene · Segment 3 von 4" in texts
    assert "RIGHT · RECHTS" in texts


@pytest.mark.parametrize(
    ("mass_kg", "said"), [(3.2, None), (22.4, "two people lift"), (48.0, "use lifting aid"), (None, None)]
)
@pytest.mark.parametrize("name", ["tied-tag-80x50", "crate-label-a5"])
def test_what_is_heavy_says_who_lifts_it(name: str, mass_kg: float | None, said: str | None) -> None:
    texts = {run.text for run in make_layout(name, mass_kg=mass_kg).texts()}
    assert texts & {"two people lift", "use lifting aid"} == ({said} if said else set())


def test_the_crate_says_what_a_set_of_the_kit_holds() -> None:
    layout = make_layout("crate-label-a5")
    texts = " ".join(run.text for run in layout.texts())
    assert "one set of the kit OSV4-FC1-A500 · 10 pieces · 38.2 kg" in texts
    assert "SW1 ×4, SW2 ×4, CG1 ×2" in texts
    assert "[)>\x1e06\x1d1POSV4-FC1-A500\x1dQ10\x1e\x04" in {symbol.text for symbol in layout.symbols()}
