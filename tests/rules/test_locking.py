"""Verdicts on what will lock, from measured gaps."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.rules.locking import AtJoint, JointMeasure, JointState, joint_state, verdict_of

FITTED = JointMeasure(
    length_mm=230.0,
    least_mm=0.15,
    median_mm=0.15,
    greatest_mm=0.15,
    play_mm=0.4,
    overlap_mm2=0.0,
    depth_mm=0.0,
    at=(1.0, 2.0),
    widest_at=(3.0, 4.0),
)
OVERLAPPING = replace(FITTED, least_mm=-1.85, depth_mm=1.85, overlap_mm2=57.7)


@pytest.mark.parametrize(
    ("new", "state"),
    [
        (FITTED, "locks"),
        (replace(FITTED, least_mm=0.11, median_mm=0.12), "locks"),
        (replace(FITTED, least_mm=0.0, depth_mm=0.019), "too_tight"),
        (replace(FITTED, least_mm=-0.03, depth_mm=0.03), "collides"),
        (OVERLAPPING, "collides"),
        (replace(FITTED, least_mm=0.049), "too_tight"),
        (replace(FITTED, least_mm=0.051), "locks"),
        (replace(FITTED, median_mm=0.59, greatest_mm=0.6, play_mm=1.3), "locks"),
        (replace(FITTED, median_mm=0.61), "too_loose"),
        (replace(FITTED, play_mm=1.5), "too_loose"),
        (replace(FITTED, play_mm=None), "too_loose"),
        (replace(FITTED, length_mm=180.0), "too_loose"),
        (None, "gone"),
    ],
)
def test_a_piece_is_held_against_the_one_that_was_fitted(new: JointMeasure | None, state: str) -> None:
    found = joint_state(new, FITTED)
    assert found.state == state
    assert found.locks is (state == "locks")


def test_where_the_old_pieces_overlap_as_drawn_the_outlines_say_nothing() -> None:
    for new in (FITTED, OVERLAPPING):
        found = joint_state(new, OVERLAPPING)
        assert (found.state, found.locks) == ("unknown", None)
        assert "1.85 mm" in found.sentence


def test_a_joint_that_was_tight_before_may_be_as_tight_again() -> None:
    tight = replace(FITTED, least_mm=0.03, median_mm=0.03)
    assert joint_state(tight, tight).state == "locks"
    assert joint_state(replace(tight, least_mm=0.005), tight).state == "too_tight"


def test_without_the_old_piece_the_trade_decides() -> None:
    assert joint_state(FITTED, None).state == "locks"
    assert joint_state(OVERLAPPING, None).state == "collides"
    assert joint_state(replace(FITTED, median_mm=0.7), None).state == "too_loose"
    assert joint_state(replace(FITTED, play_mm=2.5), None).state == "too_loose"
    assert joint_state(replace(FITTED, play_mm=None), None).state == "unknown"
    assert joint_state(None, None).state == "unknown"
    assert joint_state(FITTED, FITTED, drawn=False).state == "unknown"


def test_edges_that_never_hooked_in_may_be_drawn_out_again() -> None:
    butt = replace(FITTED, play_mm=None)
    assert joint_state(butt, butt).state == "locks"
    assert joint_state(replace(butt, median_mm=0.9, greatest_mm=0.9), butt).state == "too_loose"


def test_another_gap_is_said() -> None:
    assert "as the old piece did" in joint_state(replace(FITTED, greatest_mm=0.19), FITTED).sentence
    assert "another gap" in joint_state(replace(FITTED, greatest_mm=0.35), FITTED).sentence


LOCKS, HITS = JointState("locks", "it locks"), JointState("collides", "they overlap", (1, 2))
LOOSE, SILENT = JointState("gone", "it does not reach"), JointState("unknown", "no outline")


def at(place: str, state: JointState, *, known: bool = True, survives: bool = True) -> AtJoint:
    return AtJoint(place, known, survives, state)


@pytest.mark.parametrize(
    ("joints", "differs", "verdict"),
    [
        ([], [], "fits"),
        ([at("U2", LOCKS), at("U4", LOCKS)], [], "fits"),
        ([at("U2", LOCKS)], ["pocket"], "fits_but_differs"),
        ([at("U2", LOCKS), at("U4", HITS)], ["pocket"], "collides"),
        ([at("U2", LOCKS), at("U4", LOOSE)], [], "does_not_hold"),
        ([at("U2", HITS), at("U4", LOOSE)], [], "collides"),
        ([at("U2", HITS, survives=False)], [], "fits"),
        ([at("U2", HITS, known=False)], [], "unknown"),
        ([at("U2", LOCKS, known=False)], [], "unknown"),
        ([at("U2", SILENT)], [], "unknown"),
        ([at("U2", SILENT), at("U4", HITS)], [], "collides"),
    ],
)
def test_the_worst_joint_to_a_survivor_decides(joints: list[AtJoint], differs: list[str], verdict: str) -> None:
    found, sentence = verdict_of(exact=False, comparable=True, joints=joints, differs=differs)
    assert found == verdict
    assert sentence.endswith(".")


def test_the_bytes_of_the_broken_piece_are_exact_whatever_the_outlines_say() -> None:
    assert verdict_of(exact=True, comparable=True, joints=[at("U4", HITS)], differs=[])[0] == "exact"


def test_who_does_not_know_what_broke_cannot_say_what_differs() -> None:
    assert verdict_of(exact=False, comparable=False, joints=[at("U4", LOCKS)], differs=[])[0] == "unknown"
