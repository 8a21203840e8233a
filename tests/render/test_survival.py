"""Marks that are damaged and read again by the decoder: laws, and figures measured on bare plates."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

import arbez_dmtx
import numpy as np
import pytest
from PIL import Image

from service.marks.items import Layout
from service.marks.survival import Trial
from service.render import survival
from service.render.damages import DAMAGES, LOST_SHARES, SCRATCHES, Damage, loss, scratches
from service.render.survival import as_printed, run_trials, survival_card, taken_away, whole_plate
from service.render.survival_svg import card_and_picture
from tests.mark_factory import make_facts, make_layout, make_template
from tests.survival_factory import FOUR_MATRICES, FOUR_QR, ONE_MATRIX, ONE_QR, TWO_MATRICES, Bare, bare_plate, key_only

SEEDS = range(60)

#: Trials are of fixed seeds; of 60, a share of one half has a standard deviation of 6 points.
NOISE = 0.05


def untouched() -> Damage:
    return Damage("untouched", "print", "nothing happens", 1, 0, lambda window: window.grey)


def painted_black() -> Damage:
    return Damage("black", "loss", "all of it is painted over", 1, 0, lambda window: np.zeros_like(window.grey))


def share(trials: Sequence[Trial], *, merged: bool = False) -> float:
    return sum(trial.identity or (merged and trial.merged) for trial in trials) / len(trials)


def survived(plate: Sequence[Bare], damages: Sequence[Damage]) -> float:
    return share(run_trials(bare_plate(plate), key_only(), damages, merge=False))


@pytest.mark.parametrize("template", ["nameplate-60x22", "tied-tag-80x50", "crate-label-a5"])
def test_an_undamaged_mark_reads_whole_and_a_black_one_not_at_all(template: str) -> None:
    layout, facts = make_layout(template), make_facts()
    whole, black = run_trials(layout, facts, [untouched(), painted_black()])
    assert all(whole.read)
    assert whole.identity
    assert not any(black.read)
    assert (black.identity, black.merged) == (False, False)
    assert (whole.wrong, whole.refused, black.wrong, black.refused) == ((), (), (), ())


def test_a_symbol_that_names_no_piece_is_read_but_carries_no_identity() -> None:
    """As that of a crate, which holds the number of a kit."""
    layout = bare_plate(FOUR_MATRICES, text="OSV4-FC1-A500")
    (trial,) = run_trials(layout, key_only(), [untouched()])
    assert (trial.read, trial.identity, trial.merged) == ((True,) * 4, False, False)


def test_the_same_mark_has_the_same_card() -> None:
    layout, facts = make_layout(), make_facts()
    assert run_trials(layout, facts, DAMAGES[::5]) == run_trials(layout, facts, DAMAGES[::5])


def test_the_window_of_a_symbol_holds_it_with_its_quiet_zone() -> None:
    layout = make_layout()
    grey = as_printed(layout)
    for symbol in layout.symbols():
        window = survival.window_of(grey, layout, symbol)
        across, along = symbol.quiet_dots
        assert window.left_dots <= max(symbol.left_dots - across, 0)
        assert window.top_dots <= max(symbol.top_dots - along, 0)
        assert window.left_dots + window.grey.shape[1] >= symbol.left_dots + symbol.width_dots
        assert (
            grey[window.top_dots :, window.left_dots :][: window.grey.shape[0], : window.grey.shape[1]] == window.grey
        ).all()
    assert whole_plate(grey, layout).grey.shape == (layout.height_dots, layout.width_dots)


@pytest.mark.parametrize("plate", [ONE_MATRIX, FOUR_MATRICES, FOUR_QR], ids=["one matrix", "four matrices", "four QR"])
def test_what_is_damaged_more_never_survives_more_often(plate: Sequence[Bare]) -> None:
    """Losses and scratches of one seed grow, so only a lucky decoder could break the law, and by little."""
    for milder, harder in ((LOST_SHARES[:-1], LOST_SHARES[1:]), (SCRATCHES[:-1], SCRATCHES[1:])):
        for less, more in zip(milder, harder, strict=True):
            make = loss if less < 1 else scratches
            less_damaged = survived(plate, [make(less, seed) for seed in SEEDS])  # type: ignore[arg-type]  # of its kind
            more_damaged = survived(plate, [make(more, seed) for seed in SEEDS])  # type: ignore[arg-type]  # the same
            assert more_damaged <= less_damaged + NOISE


# Common measurement, no published source: shares of plates that still decode, of symbols with the same ink of 144 mm²
# on one plate. It does not say where the blots came from nor how large the plate was, so figures agree only roughly.
BLOTS = {
    "one matrix": (ONE_MATRIX, (0.62, 0.39, 0.28, 0.08)),
    "two matrices": (TWO_MATRICES, (1.00, 1.00, 0.90, 0.54)),
    "four matrices": (FOUR_MATRICES, (1.00, 1.00, 1.00, 0.86)),
}
LINES = {
    "one matrix": (ONE_MATRIX, (0.39, 0.14, 0.02)),
    "four matrices": (FOUR_MATRICES, (1.00, 0.90, 0.62)),
    "four QR": (FOUR_QR, (1.00, 0.98, 0.84)),
}
ROUGHLY = 0.33


@pytest.mark.parametrize("name", BLOTS)
def test_shares_after_blots_are_about_those_measured_elsewhere(name: str) -> None:
    plate, expected = BLOTS[name]
    for lost, figure in zip(LOST_SHARES, expected, strict=True):
        assert survived(plate, [loss(lost, seed) for seed in SEEDS]) == pytest.approx(figure, abs=ROUGHLY)


@pytest.mark.parametrize("name", LINES)
def test_shares_after_dark_lines_are_about_those_measured_elsewhere(name: str) -> None:
    plate, expected = LINES[name]
    for count, figure in zip(SCRATCHES, expected, strict=True):
        found = survived(plate, [scratches(count, seed, dark=True) for seed in SEEDS])
        assert found == pytest.approx(figure, abs=0.2)


def test_several_small_symbols_outlive_one_large_one_of_the_same_ink() -> None:
    """The order that matters, whatever the blots: one is far worse than two, and two worse than four."""
    halves = [loss(0.65, seed) for seed in SEEDS]
    one, two, four = (survived(plate, halves) for plate in (ONE_MATRIX, TWO_MATRICES, FOUR_MATRICES))
    assert one + 0.3 < two <= four
    six = [scratches(6, seed, dark=True) for seed in SEEDS]
    one, two, four = (survived(plate, six) for plate in (ONE_MATRIX, TWO_MATRICES, FOUR_MATRICES))
    assert one + 0.1 < two < four - 0.1
    assert survived(ONE_QR, six) < survived(FOUR_QR, six) - 0.3


def test_merging_reads_plates_of_which_no_symbol_decodes() -> None:
    layout = bare_plate(FOUR_MATRICES)
    trials = run_trials(layout, key_only(), [scratches(12, seed, dark=True) for seed in range(24)])
    assert share(trials, merged=True) > share(trials)
    assert not any(trial.wrong or trial.refused for trial in trials)


def test_a_symbol_that_is_taken_away_leaves_the_others() -> None:
    layout = make_layout()
    count = len(list(layout.symbols()))
    outcome = taken_away(layout, as_printed(layout))
    assert outcome == tuple(tuple(other != gone for other in range(count)) for gone in range(count))


def test_a_symbol_that_lies_under_another_goes_with_it() -> None:
    layout = bare_plate(FOUR_MATRICES)
    first, *others = layout.symbols()
    near = replace(first, left_dots=first.left_dots + first.width_dots + 2, top_dots=first.top_dots)
    assert (
        taken_away(replaced(layout, first, near, *others[1:]), as_printed(replaced(layout, first, near)))[0][0] is False
    )


def replaced(layout: Layout, *symbols: object) -> Layout:
    return replace(layout, items=tuple(symbols))  # type: ignore[arg-type]  # symbols are items


@pytest.mark.parametrize("dpi", [203, 300])
def test_a_nameplate_bears_what_it_is_made_for(dpi: int) -> None:
    card = survival_card(make_template(), make_facts(), dpi=dpi)
    assert card.tried == len(DAMAGES)
    assert card.wrong == ()
    assert card.share >= card.share_unmerged >= 0.9
    assert card.share >= 0.97
    losses = {tally.family: tally for tally in card.identity}["loss"]
    assert losses.survived == losses.tried


def test_the_picture_numbers_every_symbol_and_is_no_mark_itself() -> None:
    """The tags cover the middles: a decoder that looks at the plate with them on finds nothing."""
    layout = make_layout()
    card, drawn = card_and_picture(make_template(), make_facts(), dpi=203)
    assert drawn.count('class="survival-symbol"') == len(card.symbols)
    tagged = as_printed(layout).copy()
    for symbol in card.symbols:
        assert f">{symbol.index}</text>" in drawn
        assert f">{symbol.share * 100:.0f} %</text>" in drawn
    tags = re.findall(
        r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)" rx="[\d.]+" fill="#ffffff"', drawn
    )
    assert len(tags) == len(card.symbols)
    for left, top, width, height in (tuple(map(float, tag)) for tag in tags):
        tagged[round(top) : round(top + height), round(left) : round(left + width)] = 255
    assert survival.read_texts(as_printed(layout))
    assert survival.read_texts(tagged) == ()


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_a_second_decoder_reads_the_undamaged_windows_the_same(dpi: int) -> None:
    """The library libdmtx shares no code with the decoder of the cards."""
    layout = make_layout(dpi=dpi)
    grey = as_printed(layout)
    matrices = [symbol for symbol in layout.symbols() if symbol.kind == "data_matrix"]
    assert matrices
    for symbol in matrices:
        window = survival.window_of(grey, layout, symbol)
        image = Image.fromarray(np.pad(window.grey, 16, constant_values=255))
        seen = arbez_dmtx.decode(image, max_count=1)  # type: ignore[no-untyped-call]  # it carries no types
        assert [one.data.decode() for one in seen] == [symbol.text]
        assert survival.read_texts(window.grey) == (symbol.text,)
