"""Which revision to cut: each outcome on a case worked by hand (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

from service.rules.joints import Member, Release
from service.rules.revisions import Decision, Prefer, Situation, decide
from tests.rules.member_factory import make_member, make_release

U2, U3, U4 = "SW2-U2", "SW2-U3", "SW2-U4"


def number(place: str) -> str:
    return f"OSV4-FC1-A500-{place}-00"


def decided(
    *members: Member,
    joints: tuple[tuple[str, str], ...] = ((U3, U4),),
    prefer: Prefer = "as_built",
    deviations: str = "",
    why_unknown: str = "",
) -> Decision:
    return decide(
        Situation(
            damaged=number(U3),
            members={member.number: member for member in members},
            joints=tuple((number(a), number(b)) for a, b in joints),
            prefer=prefer,
            deviations=deviations,
            why_unknown=why_unknown,
        )
    )


def releases(*texts: str | Release) -> tuple[Release, ...]:
    """Releases of one cut file, one after the other and after everything that was made before."""
    made = [make_release(letter=text) if isinstance(text, str) else text for text in texts]
    return tuple(replace(release, sequence=make_release(letter="-").sequence) for release in made)


def u4(*, as_built: str | None = "-", survives: bool = True, more: tuple[Release, ...] = ()) -> Member:
    return make_member(
        place=U4, releases=(make_release(letter="-", sequence=0), *more), as_built=as_built, survives=survives
    )


def test_the_as_built_revision_is_the_default_even_when_newer_ones_fit() -> None:
    damaged = make_member(place=U3, releases=releases("-", "A", "B"), as_built="A")
    decision = decided(damaged, u4())
    assert (decision.outcome, decision.revision, decision.also_cut) == ("exact", "A", ())
    assert decision.reasons


def test_rework_on_site_is_listed() -> None:
    damaged = make_member(place=U3, releases=releases("-"))
    decision = decided(damaged, u4(), deviations="pocket 4 opened by 0.5 mm")
    assert decision.outcome == "exact_with_deviations"
    assert any("pocket 4 opened by 0.5 mm" in reason for reason in decision.reasons)


def test_newest_that_changes_no_joint_fits_when_asked_for() -> None:
    damaged = make_member(place=U3, releases=releases("-", "A", "B"))
    decision = decided(damaged, u4(), prefer="newest")
    assert (decision.outcome, decision.revision) == ("current_fits", "B")


def test_a_revision_between_is_taken_when_the_newest_changes_the_joint() -> None:
    damaged = make_member(place=U3, releases=releases("-", "A", make_release(letter="B", joints=(U4,))))
    decision = decided(damaged, u4(), prefer="newest")
    assert (decision.outcome, decision.revision) == ("current_fits", "A")
    assert any("B changes the joint to SW2-U4" in reason for reason in decision.reasons)


def test_a_changed_joint_needs_the_neighbour_that_caught_up() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))))
    caught_up = u4(more=(make_release(letter="A", joints=(U3,)),))
    decision = decided(damaged, caught_up, prefer="newest")
    assert (decision.outcome, decision.revision) == ("current_needs_neighbours", "A")
    assert [(cut.place, cut.revision) for cut in decision.also_cut] == [(U4, "A")]


def test_a_neighbour_already_at_the_new_joint_needs_nothing_else() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))), as_built="-")
    caught_up = u4(as_built="A", more=(make_release(letter="A", joints=(U3,)),))
    decision = decided(damaged, caught_up, prefer="newest")
    assert (decision.outcome, decision.revision) == ("current_fits", "A")


def test_a_neighbour_that_has_not_caught_up_leaves_the_exact_copy() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))))
    decision = decided(damaged, u4(), prefer="newest")
    assert (decision.outcome, decision.revision) == ("exact", "-")
    assert any("not caught up" in reason for reason in decision.reasons)


def test_another_changed_interface_never_passes_as_fitting() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", interfaces=("pocket",))))
    decision = decided(damaged, u4(), prefer="newest")
    assert (decision.outcome, decision.revision) == ("exact", "-")
    assert any("pocket" in reason for reason in decision.reasons)


def test_an_interface_changed_on_the_way_counts_as_changed() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", interfaces=("hub bore",)), "B"))
    decision = decided(damaged, u4(), prefer="newest")
    assert decision.outcome == "exact"
    assert any("hub bore" in reason for reason in decision.reasons)


def test_a_withdrawn_as_built_revision_is_never_cut() -> None:
    damaged = make_member(place=U3, releases=releases(make_release(letter="-", withdrawn=True), "A"))
    decision = decided(damaged, u4())
    assert (decision.outcome, decision.revision) == ("current_fits", "A")
    assert any("withdrawn" in reason for reason in decision.reasons)


def test_an_older_revision_may_stand_in_for_a_withdrawn_one() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", withdrawn=True)), as_built="A")
    decision = decided(damaged, u4())
    assert (decision.outcome, decision.revision) == ("current_fits", "-")


def test_withdrawn_and_nothing_else_is_no_record() -> None:
    damaged = make_member(place=U3, releases=releases(make_release(letter="-", withdrawn=True)))
    decision = decided(damaged, u4())
    assert (decision.outcome, decision.revision) == ("no_record", None)


def test_a_neighbour_of_unknown_build_allows_only_the_exact_copy() -> None:
    damaged = make_member(place=U3, releases=releases("-", "A"))
    decision = decided(damaged, u4(as_built=None), prefer="newest")
    assert (decision.outcome, decision.revision) == ("exact", "-")
    assert any(U4 in reason and "not known" in reason for reason in decision.reasons)


def test_withdrawn_with_a_neighbour_of_unknown_build_asks_for_the_neighbour() -> None:
    damaged = make_member(place=U3, releases=releases(make_release(letter="-", withdrawn=True), "A"))
    decision = decided(damaged, u4(as_built=None))
    assert decision.outcome == "no_record"
    assert any("trace" in reason for reason in decision.reasons)


def test_an_unknown_piece_is_no_record_and_says_what_to_ask_for() -> None:
    damaged = make_member(place=U3, releases=releases("-", "A"), as_built=None)
    decision = decided(damaged, u4(), why_unknown="There are 2 sets of this segment")
    assert (decision.outcome, decision.revision) == ("no_record", None)
    assert any("2 sets" in reason for reason in decision.reasons)
    assert any("key" in reason for reason in decision.reasons)


def test_a_neighbour_that_did_not_survive_constrains_nothing() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))))
    decision = decided(damaged, u4(survives=False), prefer="newest")
    assert (decision.outcome, decision.revision) == ("current_fits", "A")
    assert any("not among the survivors" in reason for reason in decision.reasons)


def test_the_smallest_set_reaches_over_neighbours_where_it_must() -> None:
    """U3 A needs U4 A; U4 A also changed its joint to U1, which has caught up: both have to be cut, and not U2."""
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))))
    fourth = u4(more=(make_release(letter="A", joints=(U3, "SW2-U1")),))
    first = make_member(place="SW2-U1", releases=releases("-", make_release(letter="A", joints=(U4,))))
    second = make_member(place=U2, releases=releases("-"))
    decision = decided(
        damaged,
        fourth,
        first,
        second,
        joints=((U3, U4), (U4, "SW2-U1"), (U2, U3), ("SW2-U1", U2)),
        prefer="newest",
    )
    assert decision.outcome == "current_needs_neighbours"
    assert sorted(cut.place for cut in decision.also_cut) == ["SW2-U1", U4]


def test_the_smaller_of_two_ways_is_taken() -> None:
    """U4 caught up twice: its A also changed the joint to U1, its B changed that back to nothing further."""
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))))
    fourth = make_member(
        place=U4,
        releases=releases("-", make_release(letter="A", joints=(U3,)), make_release(letter="B", joints=("SW2-U1",))),
    )
    first = make_member(place="SW2-U1", releases=releases("-", make_release(letter="A", joints=(U4,))))
    decision = decided(damaged, fourth, first, joints=((U3, U4), (U4, "SW2-U1")), prefer="newest")
    assert [(cut.place, cut.revision) for cut in decision.also_cut] == [(U4, "A")]


def test_records_that_disagree_are_said() -> None:
    damaged = make_member(place=U3, releases=releases("-", make_release(letter="A", joints=(U4,))), as_built="A")
    decision = decided(damaged, u4())
    assert decision.outcome == "exact"
    assert any("look at that joint" in reason for reason in decision.reasons)
