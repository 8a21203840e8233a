"""Every revision of the demonstration against its neighbours: geometry alone finds each changed joint, and where."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
import shapely

from service.demo.shop import DemoRevision, demo_shop
from service.outlines.drawing import Drawing, read_drawing
from service.store import cutfiles, segments
from service.work.computed_joints import computed_joints
from service.work.members import members_around
from service.work.what_locks import what_locks
from service.work.workshop import Workshop
from tests.demo_data import fill, open_workshop

SHOP = demo_shop()
LATER = [file for file in SHOP.cut_files if file.revision != "-"]
NAMES = [f"{file.name} {file.revision}" for file in LATER]
DRAWINGS: dict[tuple[str, str], Drawing] = {
    (file.name, file.revision): read_drawing(file.data, name=file.name)
    for file in SHOP.cut_files
    if any(other.name[:20] == file.name[:20] for other in LATER)
}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The demonstration on record; these tests only look."""
    folder = tmp_path_factory.mktemp("demo")
    fill(folder)
    workshop = open_workshop(folder)
    yield workshop
    workshop.database.close()


def number_of(workshop: Workshop, cut_file: str) -> str:
    with workshop.database.read() as connection:
        id_ = cutfiles.find_cut_file(connection, cut_file)
        assert id_ is not None
        return cutfiles.users_of(connection, id_)[0].number


def before(file: DemoRevision) -> DemoRevision:
    earlier = [other for other in SHOP.cut_files if other.name == file.name]
    return earlier[earlier.index(file) - 1]


@pytest.mark.parametrize("file", LATER, ids=NAMES)
def test_geometry_alone_says_which_joints_a_release_changed(shop: Workshop, file: DemoRevision) -> None:
    """Each revision against the one before it, every neighbour as it was before: nothing that was declared is read."""
    number, built = number_of(shop, file.name), before(file).revision
    with shop.database.read() as connection:
        segment = segments.find_segment(connection, number)
        assert segment is not None
        joints = computed_joints(connection, number, members_around(connection, segment, reach=1))
    member = joints.members[number]
    for other in (each for each in joints.members.values() if each.number != number):
        letter = built if any(release.letter == built for release in other.releases) else other.releases[-1].letter
        state = joints.state(member, file.revision, other, letter)
        changed = other.place in file.joints_changed
        assert (state.state == "collides") is changed, (other.place, state.sentence)
        assert state.locks is not changed
        if changed:
            spot = shapely.Point(state.at or ())
            there = DRAWINGS[file.name, built].material.boundary, DRAWINGS[other.cut_file, letter].material.boundary
            assert all(spot.distance(border) < 2.1 for border in there), "the point lies at the joint"
            assert state.at is not None
            assert 57.0 <= shapely.Point(0, 0).distance(spot) <= 182.0


@pytest.mark.parametrize("file", LATER, ids=NAMES)
def test_geometry_alone_says_what_else_a_release_changed(shop: Workshop, file: DemoRevision) -> None:
    number = number_of(shop, file.name)
    with shop.database.read() as connection:
        segment = segments.find_segment(connection, number)
        assert segment is not None
        joints = computed_joints(connection, number, members_around(connection, segment, reach=1))
    found = joints.differs(joints.members[number], before(file).revision, file.revision)
    named = {other.neighbour for other in found if other.interface == "joint"}
    assert named == set(file.joints_changed)
    assert {other.interface for other in found} - {"joint"} == set(file.interfaces_changed)


def test_every_joint_of_every_kit_locks_as_it_was_issued(shop: Workshop) -> None:
    seen = 0
    with shop.database.read() as connection:
        numbers = [
            row.number
            for file in {file.name for file in SHOP.cut_files}
            for row in cutfiles.users_of(connection, cutfiles.find_cut_file(connection, file) or 0)
        ]
    for number in numbers:
        answer = what_locks(shop, number)
        assert answer.disputes == ()
        for revision in answer.revisions:
            if revision.revision == answer.as_built:
                assert revision.verdict == "exact"
                assert [joint.state for joint in revision.joints] == ["locks"] * len(revision.joints)
                seen += len(revision.joints)
    assert seen >= 2 * 40


def test_the_verdicts_on_the_broken_quarter(shop: Workshop) -> None:
    answer = what_locks(shop, "OSV4-FC1-A500-SW2-U3-42")
    assert [(row.revision, row.verdict) for row in answer.revisions] == [
        ("B", "collides"),
        ("A", "exact"),
        ("-", "fits"),
    ]
    (newest, *_) = answer.revisions
    (joint,) = [joint for joint in newest.joints if joint.place == "SW2-U4"]
    assert joint.picture is not None
    # By hand: dovetails of 32 mm where 28 mm were reach 2 mm further on each side, less the gap of 0.15 mm.
    assert joint.depth_mm == pytest.approx(1.85, abs=0.02)
    assert [(row.goal, row.by, [piece.place for piece in row.pieces]) for row in answer.sets] == [
        ("as_built", "declared", ["SW2-U3"]),
        ("as_built", "computed", ["SW2-U3"]),
        ("current", "declared", ["SW2-U3", "SW2-U4"]),
        ("current", "computed", ["SW2-U3", "SW2-U4"]),
    ]
    assert answer.sets[3].count == 2
    assert answer.sets[3].mass_kg == pytest.approx(2 * answer.sets[0].mass_kg, rel=0.01)


def test_a_wider_pocket_locks_and_is_named(shop: Workshop) -> None:
    answer = what_locks(shop, number_of(shop, "osv4-fc1-a500-sw4-u2.dxf"))
    (newest, built) = answer.revisions
    assert (newest.verdict, built.verdict) == ("fits_but_differs", "exact")
    # By hand: a pocket 0.8 mm wider is cut back by 0.4 mm all round.
    (difference,) = newest.differences
    assert (difference.interface, difference.declared) == ("pocket", True)
    assert difference.size_mm == pytest.approx(0.4, abs=0.02)
