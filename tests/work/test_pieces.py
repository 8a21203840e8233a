"""Pieces one by one: tracked, scrapped, reworked; the counts add up whatever happens."""

from __future__ import annotations

import pytest

from schemas.answers import KitAnswer, PieceAnswer
from schemas.pieces import DeviationRequest, PiecesAnswer, ScrapCountRequest, ScrapRequest, SetRequest, TrackRequest
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.errors import BadRequest, PieceGone, PieceOnOrder, PieceUnknown, TooFewPieces
from service.store import marks, segments
from service.work.fit import cancel_reorder, fit_reorder
from service.work.history import history
from service.work.make_set import make_set
from service.work.once import Retry
from service.work.print_marks import print_segment
from service.work.read import read_mark
from service.work.reorder import reorder
from service.work.resolve import resolve_mark
from service.work.scrap import record_deviation, scrap_counted, scrap_piece
from service.work.track_pieces import show_piece, track_pieces
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, release

KIT = "OSV4-FC1-A500"


def track(workshop: Workshop, count: int, **more: object) -> PiecesAnswer:
    return track_pieces(workshop, NUMBER_PLATES, TrackRequest.model_validate({"track": count, **more}))


def key_of(workshop: Workshop, number: str = NUMBER_U3) -> str:
    (key,) = [piece.key for piece in resolve_mark(workshop, number).pieces if piece.condition == "fitted"]
    assert key is not None
    return key


def fitted(workshop: Workshop, number: str = NUMBER_PLATES) -> list[PieceAnswer]:
    return [piece for piece in resolve_mark(workshop, number).pieces if piece.condition == "fitted"]


def order(workshop: Workshop, mark: str, quantity: int = 1) -> int:
    return reorder(workshop, ReorderRequest(mark=mark, reason="crushed", quantity=quantity)).id


def test_five_of_forty_get_keys_and_keep_their_revision(stocked: Workshop, issued: KitAnswer) -> None:
    answer = track(stocked, 5)
    assert len(set(answer.new_keys)) == 5
    assert [(piece.key is None, piece.count, piece.revision) for piece in answer.pieces] == [
        (True, 35, "-"),
        *[(False, 1, "-")] * 5,
    ]
    assert read_mark(stocked, answer.new_keys[0]).number == NUMBER_PLATES
    assert show_piece(stocked, answer.new_keys[0]).number == NUMBER_PLATES


def test_all_of_a_count_can_be_tracked_and_then_none_is_left(stocked: Workshop, issued: KitAnswer) -> None:
    answer = track(stocked, 40)
    assert {piece.key for piece in answer.pieces} == set(answer.new_keys)
    assert len(answer.pieces) == 40
    with pytest.raises(TooFewPieces, match="0 of"):
        track(stocked, 1)


def test_more_than_there_are_and_a_set_that_is_not_said_are_refused(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(TooFewPieces, match="40 of"):
        track(stocked, 41)
    make_set(stocked, KIT, SetRequest())
    with pytest.raises(BadRequest, match="sets 1, 2"):
        track(stocked, 1)
    track(stocked, 1, set=2)
    assert [(piece.set, piece.count) for piece in fitted(stocked)] == [(1, 40), (2, 39), (2, 1)]
    with pytest.raises(TooFewPieces):
        track(stocked, 1, set=3)


def test_a_repeated_tracking_gives_no_new_keys(stocked: Workshop, issued: KitAnswer) -> None:
    retry = Retry.of("once", "POST", b"5")
    first = track_pieces(stocked, NUMBER_PLATES, TrackRequest(track=5), retry=retry)
    assert track_pieces(stocked, NUMBER_PLATES, TrackRequest(track=5), retry=retry) == first
    assert len(fitted(stocked)) == 6


def test_a_tracked_piece_is_marked_with_its_own_key(stocked: Workshop, issued: KitAnswer) -> None:
    (key,) = track(stocked, 1).new_keys
    print_segment(stocked, key, form="svg")
    with stocked.database.read() as connection:
        row = segments.find_segment(connection, NUMBER_PLATES)
        assert row is not None
        (mark,) = marks.marks_of(connection, row.id)
    assert mark.text == f"{NUMBER_PLATES} {key}"
    assert mark.piece_id is not None


def test_a_scrapped_piece_says_what_happened_and_is_nobodys_as_built(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_of(stocked)
    answer = scrap_piece(stocked, key, ScrapRequest(kind="broken", note="jam at the discharge"))
    assert (answer.condition, answer.end, answer.end_note, answer.replaced_in) == (
        "scrapped",
        "broken",
        "jam at the discharge",
        None,
    )
    assert answer.ended_at is not None
    assert show_piece(stocked, key) == answer
    assert fitted(stocked, NUMBER_U3) == []
    with pytest.raises(PieceGone):
        scrap_piece(stocked, key, ScrapRequest(kind="lost"))
    with pytest.raises(PieceGone):
        record_deviation(stocked, key, DeviationRequest(deviation="bore opened"))
    event = history(stocked, NUMBER_U3).events[-1]
    assert (event.verb, event.before, event.after) == (
        "scrap",
        {"key": key, "set": 1, "condition": "fitted"},
        {"key": key, "set": 1, "condition": "scrapped", "end": "broken", "note": "jam at the discharge"},
    )


def test_after_scrapping_the_number_alone_orders_the_same_again(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_of(stocked)
    record_deviation(stocked, key, DeviationRequest(deviation="pocket 2 opened by 0.5 mm"))
    scrap_piece(stocked, key, ScrapRequest(kind="broken"))
    release(stocked, "SW2-U3", revision="A")
    answer = reorder(stocked, ReorderRequest(mark=NUMBER_U3, reason="broken in a jam"))
    assert (answer.outcome, answer.cut and answer.cut.revision) == ("exact_with_deviations", "-")
    fit_reorder(stocked, answer.id, FittedRequest())
    ends = [(piece.condition, piece.end) for piece in resolve_mark(stocked, NUMBER_U3).pieces]
    assert ends == [("scrapped", "broken"), ("fitted", None)]


def test_of_a_count_some_are_scrapped_and_one_replacement_fills_one_place(stocked: Workshop, issued: KitAnswer) -> None:
    scrap_counted(stocked, NUMBER_PLATES, ScrapCountRequest(kind="worn", count=3))
    assert sum(piece.count for piece in fitted(stocked)) == 37
    fit_reorder(stocked, order(stocked, NUMBER_PLATES, quantity=2), FittedRequest())
    assert sum(piece.count for piece in fitted(stocked)) == 39
    # One place is empty still, so one of two new pieces takes an old one out.
    fit_reorder(stocked, order(stocked, NUMBER_PLATES, quantity=2), FittedRequest())
    assert sum(piece.count for piece in fitted(stocked)) == 40
    scrapped = [piece for piece in resolve_mark(stocked, NUMBER_PLATES).pieces if piece.condition == "scrapped"]
    assert [(piece.count, piece.end) for piece in scrapped] == [(3, "worn"), (1, "replaced")]
    with pytest.raises(TooFewPieces):
        scrap_counted(stocked, NUMBER_PLATES, ScrapCountRequest(kind="worn", count=40))


def test_a_whole_count_can_be_scrapped(stocked: Workshop, issued: KitAnswer) -> None:
    answer = scrap_counted(stocked, NUMBER_PLATES, ScrapCountRequest(kind="lost", count=40))
    assert [(piece.count, piece.condition) for piece in answer.pieces] == [(40, "scrapped")]


def test_rework_is_added_to_what_is_known_and_decides_the_next_order(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_of(stocked)
    record_deviation(stocked, key, DeviationRequest(deviation="pocket 2  opened"))
    answer = record_deviation(stocked, key, DeviationRequest(deviation="edge broken by hand"))
    assert answer.deviations == "pocket 2 opened; edge broken by hand"
    event = history(stocked, NUMBER_U3).events[-1]
    assert (event.verb, event.before) == ("rework", {"key": key, "deviations": "pocket 2 opened"})
    assert reorder(stocked, ReorderRequest(mark=key, reason="crushed")).outcome == "exact_with_deviations"
    for _ in range(3):
        record_deviation(stocked, key, DeviationRequest(deviation="y" * 500))
    with pytest.raises(BadRequest, match="more than 2,000"):
        record_deviation(stocked, key, DeviationRequest(deviation="y" * 500))


def test_a_piece_on_order_is_cancelled_not_scrapped(stocked: Workshop, issued: KitAnswer) -> None:
    answer = reorder(stocked, ReorderRequest(mark=NUMBER_U3, reason="crushed"))
    key = answer.key or ""
    with pytest.raises(PieceOnOrder):
        scrap_piece(stocked, key, ScrapRequest(kind="lost"))
    with pytest.raises(PieceOnOrder):
        record_deviation(stocked, key, DeviationRequest(deviation="bore opened"))
    cancel_reorder(stocked, answer.id, CancelRequest(reason="found a spare"))
    piece = show_piece(stocked, key)
    assert (piece.condition, piece.end, piece.end_note, piece.replaced_in) == (
        "scrapped",
        "cancelled",
        "found a spare",
        answer.id,
    )


def test_the_segments_key_is_no_piece(stocked: Workshop, issued: KitAnswer) -> None:
    key = resolve_mark(stocked, NUMBER_PLATES).key
    with pytest.raises(PieceUnknown, match="every piece"):
        show_piece(stocked, key)
    with pytest.raises(PieceUnknown):
        scrap_piece(stocked, key, ScrapRequest(kind="lost"))


def test_the_key_of_a_scrapped_piece_is_said_to_be_one(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_of(stocked)
    scrap_piece(stocked, key, ScrapRequest(kind="broken"))
    answer = reorder(stocked, ReorderRequest(mark=key, reason="broken"))
    assert answer.outcome == "exact"
    assert any("on record as scrapped" in reason for reason in answer.reasons)
