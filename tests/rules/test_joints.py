"""Joint revisions. The rule is the shop's own (common practice, no source); the cases are worked by hand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from service.rules.joints import joint_history
from tests.rules.member_factory import make_member, make_release


def test_the_first_side_to_change_starts_the_next_revision_and_the_other_catches_up() -> None:
    first = make_member(
        place="SW2-U3",
        releases=(make_release(letter="-", sequence=1), make_release(letter="A", joints=("SW2-U4",), sequence=3)),
    )
    second = make_member(
        place="SW2-U4",
        releases=(make_release(letter="-", sequence=2), make_release(letter="A", joints=("SW2-U3",), sequence=4)),
    )
    history = joint_history(first, second)
    assert [history.level(first, "-"), history.level(first, "A")] == [0, 1]
    assert [history.level(second, "-"), history.level(second, "A")] == [0, 1]


def test_a_side_that_changed_twice_is_caught_up_in_one_step() -> None:
    first = make_member(
        place="SW2-U3",
        releases=(
            make_release(letter="-", sequence=1),
            make_release(letter="A", joints=("SW2-U4",), sequence=3),
            make_release(letter="B", joints=("SW2-U4",), sequence=4),
        ),
    )
    second = make_member(
        place="SW2-U4",
        releases=(make_release(letter="-", sequence=2), make_release(letter="A", joints=("SW2-U3",), sequence=5)),
    )
    history = joint_history(first, second)
    assert history.level(first, "B") == 2
    assert history.level(second, "A") == 2


def test_a_neighbour_is_named_by_number_too() -> None:
    second = make_member(place="SW2-U4", releases=(make_release(letter="-", sequence=1),))
    first = make_member(
        place="SW2-U3",
        releases=(make_release(letter="-", sequence=2), make_release(letter="A", joints=(second.number,), sequence=3)),
    )
    assert joint_history(first, second).level(first, "A") == 1


def test_a_release_that_changes_another_joint_leaves_this_one_alone() -> None:
    first = make_member(
        place="SW2-U3",
        releases=(make_release(letter="-", sequence=1), make_release(letter="A", joints=("SW2-U2",), sequence=3)),
    )
    second = make_member(place="SW2-U4", releases=(make_release(letter="-", sequence=2),))
    assert joint_history(first, second).level(first, "A") == 0


def test_two_segments_of_one_cut_file_change_together() -> None:
    releases = (make_release(letter="-", sequence=1), make_release(letter="A", joints=("SW1-U2",), sequence=2))
    first = make_member(place="SW1-U1", releases=releases, cut_file="half.dxf")
    second = make_member(place="SW1-U2", releases=releases, cut_file="half.dxf")
    history = joint_history(first, second)
    assert history.level(first, "A") == history.level(second, "A") == 1


def test_a_withdrawn_release_still_changed_the_joint() -> None:
    first = make_member(
        place="SW2-U3",
        releases=(
            make_release(letter="-", sequence=1),
            make_release(letter="A", joints=("SW2-U4",), withdrawn=True, sequence=3),
            make_release(letter="B", sequence=4),
        ),
    )
    second = make_member(place="SW2-U4", releases=(make_release(letter="-", sequence=2),))
    history = joint_history(first, second)
    assert history.level(first, "B") == 1 != history.level(second, "-")


@given(steps=st.lists(st.tuples(st.sampled_from("ab"), st.booleans()), max_size=12))
def test_levels_never_fall_and_the_order_of_the_two_sides_says_nothing(steps: list[tuple[str, bool]]) -> None:
    releases: dict[str, list[tuple[int, bool]]] = {"a": [(1, False)], "b": [(2, False)]}
    for sequence, (side, changes) in enumerate(steps, start=3):
        releases[side].append((sequence, changes))
    letters = "-ABCDEFGHJKLMNPR"
    first, second = (
        make_member(
            place=place,
            releases=tuple(
                make_release(letter=letters[index], joints=(other,) if changes else (), sequence=sequence)
                for index, (sequence, changes) in enumerate(releases[side])
            ),
        )
        for side, place, other in (("a", "SW1-U1", "SW1-U2"), ("b", "SW1-U2", "SW1-U1"))
    )
    history, mirrored = joint_history(first, second), joint_history(second, first)
    assert history.levels == mirrored.levels
    for member in (first, second):
        carried = [history.level(member, release.letter) for release in member.releases]
        assert carried == sorted(carried)
        assert carried[0] == 0
