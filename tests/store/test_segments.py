"""Segments, their joints, and what may be corrected."""

from __future__ import annotations

import pytest
from sqlalchemy import Connection

from service.numbering.reading import read
from service.store.kits import kit_segments
from service.store.register import DatabaseRegister
from service.store.segments import (
    correct_segment,
    find_segment,
    highest_ordinal,
    joints_of,
    key_owner,
    keys_taken,
    kit_joints,
    places,
    segment_by_id,
    segments_by_ids,
    serves,
    serves_by_segment,
    void_segment,
)
from tests.factories import make_key, make_kit, make_revision

NUMBER = "OSV4-FC1-A500-SW2-U3-42"


def test_a_segment_is_found_by_number_and_by_id(writing: Connection) -> None:
    make_kit(writing)
    row = find_segment(writing, NUMBER)
    assert row is not None
    assert (row.place, row.kit_number, row.assembly_name) == ("SW2-U3", "OSV4-FC1-A500", "discharge star wheel")
    assert (row.cut_file, row.revision, row.voided) == ("osv4-fc1-a500-sw2.dxf", "-", False)
    assert segment_by_id(writing, row.id) == row
    assert find_segment(writing, NUMBER.lower()) is None
    assert segment_by_id(writing, 99) is None


def test_many_segments_are_fetched_in_chunks(writing: Connection) -> None:
    for nominal in range(1, 9):
        make_kit(writing, nominal=nominal, segments=150)
    rows = segments_by_ids(writing, range(1, 1300))
    assert sorted(rows) == list(range(1, 1201))
    assert segments_by_ids(writing, []) == {}


def test_what_many_segments_serve_is_what_each_serves(writing: Connection) -> None:
    make_kit(writing)
    ids = [row.id for row in kit_segments(writing, 1)]
    for design in "CE":
        make_kit(writing, design=design, shared_segment_ids=ids[:2] if design == "C" else ids[1:2])
    assert serves_by_segment(writing, ids) == {id_: serves(writing, id_) for id_ in ids[:2]}
    assert serves_by_segment(writing, ids)[ids[1]] == ("OSV4-FC1-C500", "OSV4-FC1-E500")
    assert serves_by_segment(writing, []) == {}


def test_keys_that_are_taken(writing: Connection) -> None:
    make_kit(writing, segments=150)
    rows = kit_segments(writing, 1)
    free = [make_key() for _ in range(700)]
    assert keys_taken(writing, [row.key for row in rows] + free) == {row.key for row in rows}


def test_joints_of_a_segment_and_of_its_kit(writing: Connection) -> None:
    make_kit(writing)
    row = find_segment(writing, NUMBER)
    assert row is not None
    joints = joints_of(writing, row.id)
    assert [joint.other(row.id).place for joint in joints] == ["SW2-U2", "SW2-U4"]
    assert {(joint.form, joint.clearance_mm, joint.inferred) for joint in joints} == {("dovetail", 0.15, False)}
    assert [(joint.first.place, joint.second.place) for joint in kit_joints(writing, 1)] == [
        ("SW2-U1", "SW2-U2"),
        ("SW2-U2", "SW2-U3"),
        ("SW2-U3", "SW2-U4"),
    ]
    with pytest.raises(KeyError):
        joints[0].other(99)


def test_facts_can_be_corrected(writing: Connection) -> None:
    make_kit(writing)
    other = make_revision(writing, name="corrected.dxf")
    changes = {
        "quantity": 2,
        "hand": "LEFT",
        "material": "POM",
        "stock_colour": "blue",
        "thickness_mm": 20.0,
        "measured_thickness_mm": 19.8,
        "mass_kg": 0.9,
        "marked_face": "upper",
        "cut_file_id": other.cut_file_id,
        "revision_id": other.id,
    }
    correct_segment(writing, 1, changes)
    row, neighbour = segment_by_id(writing, 1), segment_by_id(writing, 2)
    assert row is not None
    assert neighbour is not None
    assert {name: getattr(row, name) for name in changes} == changes
    assert row.cut_file == "corrected.dxf"
    assert neighbour.material == "UHMW-PE"
    correct_segment(writing, 1, {})


@pytest.mark.parametrize("column", ["number", "key", "deck", "ordinal", "kit_id", "assembly_id", "status", "id", "x"])
def test_an_identity_is_never_corrected(writing: Connection, column: str) -> None:
    make_kit(writing)
    before = segment_by_id(writing, 1)
    with pytest.raises(KeyError, match=column):
        correct_segment(writing, 1, {"material": "POM", column: "1"})
    assert segment_by_id(writing, 1) == before


def test_a_voided_place_is_spent(writing: Connection) -> None:
    make_kit(writing)
    assert highest_ordinal(writing, 1, "U") == 4
    void_segment(writing, 4, "cut into quarters")
    row = segment_by_id(writing, 4)
    assert row is not None
    assert row.voided
    assert row.void_reason == "cut into quarters"
    assert highest_ordinal(writing, 1, "U") == 4, "its ordinal is not given again"
    assert highest_ordinal(writing, 1, "L") == 0
    assert places(writing, 1) == {"SW2-U1": 1, "SW2-U2": 2, "SW2-U3": 3, "SW2-U4": 4}
    assert key_owner(writing, row.key) is not None, "its marks can still be read"


def test_the_register_knows_what_was_issued_and_nothing_else(writing: Connection) -> None:
    make_kit(writing, segments=150)
    rows = kit_segments(writing, 1)
    void_segment(writing, rows[0].id, "drawn twice")
    register = DatabaseRegister(writing)
    never = [f"OSV4-FC1-A500-SW2-U{ordinal}-99" for ordinal in range(1, 700)]
    assert register.issued_numbers([*never, *(row.number for row in rows)]) == {row.number for row in rows}
    assert register.issued_keys([rows[0].key, rows[9].key, "K7M4XRAW"]) == {rows[0].key, rows[9].key}
    assert register.issued_numbers([]) == set()


def test_a_damaged_mark_is_read_against_the_records(writing: Connection) -> None:
    make_kit(writing)
    reading = read("0SV4 FC1 A5OO 5W2 U3 42", register=DatabaseRegister(writing))
    assert (reading.outcome, reading.number) == ("repaired", NUMBER)
