"""Casualties on record: what counts as broken, how long pieces were in use, spares, and the shaded plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy import stats

from schemas.casualties import PlaceCasualtiesAnswer
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.errors import BadRequest, KitUnknown, PlaceUnknown
from service.store import pieces, segments
from service.store.values import PieceRow
from service.work.casualties import kit_casualties, kit_casualty_plan, note, plant_casualties
from service.work.fit import cancel_reorder, fit_reorder
from service.work.reorder import reorder
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U2, NUMBER_U3, issue_small, release_all

ISSUED, KIT = "2020-01-01T00:00:00Z", "OSV4-FC1-A500"


def at(workshop: Workshop, moment: str) -> Workshop:
    """The workshop with its clock at a moment."""
    return replace(workshop, now=lambda: moment)


@pytest.fixture
def shop(workshop: Workshop) -> Workshop:
    """The small kit, issued at the beginning of 2020."""
    then = at(workshop, ISSUED)
    release_all(then)
    issue_small(then)
    return workshop


def breaks(workshop: Workshop, mark: str, moment: str, **changes: object) -> int:
    """A segment breaks and is ordered again; the reorder's id."""
    request = ReorderRequest.model_validate({"mark": mark, "reason": "crushed", **changes})
    return reorder(at(workshop, moment), request).id


def replaced(workshop: Workshop, mark: str, moment: str) -> None:
    """It breaks, and the new piece is fitted at once."""
    fit_reorder(at(workshop, moment), breaks(workshop, mark, moment), FittedRequest())


def place(
    workshop: Workshop, mark: str, moment: str = "2024-01-01T00:00:00Z", **asked: object
) -> PlaceCasualtiesAnswer:
    answer = kit_casualties(at(workshop, moment), KIT, **asked)  # type: ignore[arg-type]  # as the test asks
    return next(one for one in answer.places if one.number == mark)


def test_nothing_broke_yet_and_that_is_said(shop: Workshop) -> None:
    answer = plant_casualties(at(shop, "2021-01-01T00:00:00Z"), "osv")
    assert (answer.broken, answer.plant, answer.kit) == (0, "OSV", None)
    # Five single pieces and forty plates for a year.
    assert answer.piece_years == pytest.approx(45 * 366 / 365.25, abs=0.02)
    assert "Nothing broke yet" in answer.note
    assert all(like.borrowed for like in answer.like)


def test_a_broken_piece_counts_once_ordered_or_fitted(shop: Workshop) -> None:
    id_ = breaks(shop, NUMBER_U3, "2022-01-01T00:00:00Z")
    assert place(shop, NUMBER_U3).broken == 1
    fit_reorder(at(shop, "2022-02-01T00:00:00Z"), id_, FittedRequest())
    after = place(shop, NUMBER_U3)
    assert (after.broken, after.in_use) == (1, 1)
    # One piece was in the place all along: the old one, then the new one.
    assert after.piece_years == pytest.approx(4.0, abs=0.01)
    assert after.plain_rate == pytest.approx(0.25, abs=0.001)


def test_a_cancelled_order_broke_nothing(shop: Workshop) -> None:
    id_ = breaks(shop, NUMBER_U3, "2022-01-01T00:00:00Z")
    cancel_reorder(at(shop, "2022-01-02T00:00:00Z"), id_, CancelRequest(reason="found again"))
    assert place(shop, NUMBER_U3).broken == 0
    assert place(shop, NUMBER_U3).piece_years == pytest.approx(4.0, abs=0.01)


def test_a_day_without_a_time_is_a_beginning_too(shop: Workshop) -> None:
    """People give the day on which a piece was made, not the second."""
    piece = pieces_of(shop)[0]
    with shop.database.write() as connection:
        pieces.set_made(connection, piece.id, "2022-01-01")
    assert place(shop, NUMBER_U3).piece_years == pytest.approx(2.0, abs=0.01)


def pieces_of(workshop: Workshop) -> tuple[PieceRow, ...]:
    """The pieces of one quarter."""
    with workshop.database.read() as connection:
        segment = segments.find_segment(connection, NUMBER_U3)
        assert segment is not None
        return pieces.pieces_of(connection, segment.id)


def test_pieces_of_a_count_break_one_by_one(shop: Workshop) -> None:
    id_ = breaks(shop, NUMBER_PLATES, "2022-01-01T00:00:00Z", quantity=3)
    fit_reorder(at(shop, "2022-01-01T00:00:00Z"), id_, FittedRequest())
    found = place(shop, NUMBER_PLATES)
    assert (found.broken, found.in_use) == (3, 40)
    assert found.piece_years == pytest.approx(160.0, abs=0.2)


def test_the_place_that_breaks_most_comes_first_with_its_interval_and_spares(shop: Workshop) -> None:
    for year in (2020, 2021, 2022, 2023):
        replaced(shop, NUMBER_U3, f"{year}-06-01T00:00:00Z")
    replaced(shop, NUMBER_U2, "2022-03-01T00:00:00Z")
    answer = kit_casualties(at(shop, "2024-01-01T00:00:00Z"), KIT, risk=0.02, lead_time_days=180)
    assert [one.number for one in answer.places[:2]] == [NUMBER_U3, NUMBER_U2]
    first = answer.places[0]
    (like,) = answer.like
    assert not like.borrowed
    # By SciPy, from the spread that is told: Gamma(shape + 4, weight + 4 piece-years).
    shape = like.rate * like.weight_piece_years + first.broken
    rate = like.weight_piece_years + first.piece_years
    assert first.rate == pytest.approx(shape / rate, rel=2e-2)
    known = stats.gamma(shape, scale=1 / rate)
    assert (first.rate_low, first.rate_high) == pytest.approx(known.ppf([0.1, 0.9]), rel=3e-2)
    demand = stats.nbinom(shape, rate / (rate + first.in_use * 180 / 365.25))
    assert first.spares == demand.ppf(0.98)
    assert first.run_out == pytest.approx(demand.sf(first.spares), abs=2e-3)
    assert first.run_out <= 0.02
    assert like.rate < first.rate < first.plain_rate  # type: ignore[operator]  # there were piece-years


def test_pages_and_totals(shop: Workshop) -> None:
    replaced(shop, NUMBER_U3, "2022-06-01T00:00:00Z")
    late = at(shop, "2024-01-01T00:00:00Z")
    whole = plant_casualties(late, "OSV")
    parts = [plant_casualties(late, "OSV", after=after, limit=4).places for after in (0, 4)]
    assert (*parts[0], *parts[1]) == whole.places
    assert whole.total == len(whole.places) == 6
    assert whole.spares == sum(one.spares for one in whole.places)


def test_the_plan_carries_the_figure_of_every_part(shop: Workshop) -> None:
    for year in (2020, 2021, 2022, 2023):
        replaced(shop, NUMBER_U3, f"{year}-06-01T00:00:00Z")
    late = at(shop, "2024-01-01T00:00:00Z")
    picture = kit_casualty_plan(late, KIT)
    for one in kit_casualties(late, KIT).places:
        assert f"{one.broken} broken, {one.rate:.2f} a year and piece" in picture
    assert f"U3 {place(shop, NUMBER_U3).rate:.2f}" in picture
    assert "broken a year and piece" in picture


def test_how_far_the_figures_carry_is_said_in_words() -> None:
    words = [note(broken, 40.0, kit=True) for broken in (0, 3, 10, 40)]
    assert len(set(words)) == 4
    assert "guess" in words[0]
    assert "too few" in words[1]
    assert "not sure" in words[2]
    assert "enough" in words[3]


def test_what_makes_no_sense_is_refused(shop: Workshop) -> None:
    with pytest.raises(BadRequest):
        plant_casualties(shop, "OSV", risk=0.9)
    with pytest.raises(PlaceUnknown):
        plant_casualties(shop, "XYZ")
    with pytest.raises(KitUnknown):
        kit_casualties(shop, "OSV9-FC1-A500")
