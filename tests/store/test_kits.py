"""Kits: written whole, found, listed, and extended by corrections."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import Connection, event, text
from sqlalchemy.exc import IntegrityError

from service.errors import BadRequest, NumberUnknown
from service.numbering.number import KitNumber
from service.store.containers import further_containers
from service.store.database import Database
from service.store.kits import (
    NewAssembly,
    NewJoint,
    NewKit,
    NewPiece,
    NewSegment,
    add_kit,
    add_segments,
    find_kit,
    kit_assemblies,
    kit_page,
    kit_segments,
    raise_version,
    shared_into,
)
from service.store.pieces import pieces_of_kit
from service.store.segments import key_owner, kit_joints, serves, void_segment
from tests.factories import (
    NOW,
    make_container,
    make_kit,
    make_machine,
    make_plant,
    make_revision,
    make_segments,
)

KIT = KitNumber("OSV", 4, "FC", 1, "A", 500)


def assembly(code: str, ordinal: int, position: int, *segments: NewSegment) -> NewAssembly:
    """An assembly named after its code."""
    return NewAssembly(code=code, ordinal=ordinal, name=f"{code} {ordinal}", position=position, segments=segments)


def test_a_kit_is_found_with_where_it_was_born_and_where_it_stands(writing: Connection) -> None:
    made = make_kit(writing)
    assert made.number == "OSV4-FC1-A500"
    assert (made.plant.code, made.plant.customer) == ("OSV", "Tarnquill Waters")
    assert made.machine.machine_class == "FC"
    assert made.born_line.ordinal == 4
    assert made.now_line == made.born_line
    assert made.container.code == "A500"
    assert made.container.max_body_mm == 65.7
    assert (made.status, made.version, made.issued_at, made.stock_colour) == ("issued", 1, NOW, "green")
    assert find_kit(writing, "OSV4-FC1-A501") is None


def test_a_machine_that_moved_keeps_its_birth_line(writing: Connection) -> None:
    made = make_kit(writing)
    make_machine(writing, line=7, machine_class="LB")
    line_7 = writing.scalar(text("SELECT id FROM line WHERE ordinal = 7"))
    writing.execute(text("UPDATE placement SET until_at = '2026-06-01T00:00:00Z' WHERE machine_id = 1"))
    nowhere = find_kit(writing, made.number)
    assert nowhere is not None
    assert nowhere.now_line is None
    writing.execute(
        text("INSERT INTO placement (id, machine_id, line_id, since_at) VALUES (9, 1, :line, '2026-06-01T00:00:00Z')"),
        {"line": line_7},
    )
    moved = find_kit(writing, made.number)
    assert moved is not None
    assert moved.now_line is not None
    assert (moved.born_line.ordinal, moved.now_line.ordinal) == (4, 7)
    (summary,) = kit_page(writing, after=None, limit=5)
    assert summary.line == moved.now_line


def test_segments_come_by_assembly_deck_and_ordinal_as_numbers(writing: Connection) -> None:
    machine, plant = make_machine(writing), make_plant(writing)
    container = make_container(writing, customer_id=plant.customer_id)
    cut = make_revision(writing)
    decks = [
        make_segments(KIT, revision=cut, count=1, deck=deck, assembly_ordinal=12, first=first)
        for deck, first in [("X", 1), ("K", 1), ("U", 10), ("U", 2), ("L", 1), ("M", 1)]
    ]
    guide = make_segments(KIT, revision=cut, count=1, assembly="CG", assembly_ordinal=1)
    add_kit(
        writing,
        NewKit(
            number=str(KIT),
            machine_id=machine.id,
            container_id=container.id,
            stock_colour="green",
            issued_at=NOW,
            assemblies=(
                assembly("SW", 12, 2, *[segment for deck in decks for segment in deck]),
                assembly("CG", 1, 1, *guide),
            ),
        ),
    )
    kit = find_kit(writing, str(KIT))
    assert kit is not None
    assert [row.place for row in kit_segments(writing, kit.id)] == [
        "CG1-U1",
        "SW12-L1",
        "SW12-M1",
        "SW12-U2",
        "SW12-U10",
        "SW12-K1",
        "SW12-X1",
    ]
    assert [(row.code, row.position) for row in kit_assemblies(writing, kit.id)] == [("CG", 1), ("SW", 2)]


def test_every_key_of_a_kit_leads_to_its_owner(writing: Connection) -> None:
    kit = make_kit(writing)
    rows = kit_segments(writing, kit.id)
    pieces = pieces_of_kit(writing, kit.id)
    for row in rows:
        owner = key_owner(writing, row.key)
        assert owner is not None
        assert (owner.segment_id, owner.number, owner.piece_id) == (row.id, row.number, None)
        (piece,) = pieces[row.id]
        assert piece.key is not None
        owner = key_owner(writing, piece.key)
        assert owner is not None
        assert (owner.segment_id, owner.piece_id) == (row.id, piece.id)
    assert key_owner(writing, "K7M4XRAW") is None


def test_counted_pieces_have_no_key(writing: Connection) -> None:
    make_kit(writing)
    cut = make_revision(writing)
    (plate,) = make_segments(KIT, revision=cut, count=1, assembly="BP", assembly_ordinal=1, deck="X")
    counted = NewPiece(key=None, set_number=1, count=40, revision_id=cut.id, condition="fitted")
    add_segments(writing, 1, [assembly("BP", 1, 2, replace(plate, quantity=40, pieces=(counted,)))])
    row = kit_segments(writing, 1)[-1]
    assert (row.place, row.quantity) == ("BP1-X1", 40)
    (piece,) = pieces_of_kit(writing, 1)[row.id]
    assert (piece.key, piece.count) == (None, 40)


@pytest.mark.parametrize("taken", ["number", "key", "piece key", "place"])
def test_a_kit_with_something_taken_is_refused_whole(database: Database, taken: str) -> None:
    with database.write() as connection:
        make_kit(connection)
        old = kit_segments(connection, 1)[0]
        cut = make_revision(connection)
    (new,) = make_segments(KIT, revision=cut, count=1, first=9)
    changed = {
        "number": replace(new, number=old.number),
        "key": replace(new, key=old.key),
        "piece key": replace(new, pieces=(replace(new.pieces[0], key=old.key),)),
        "place": replace(new, ordinal=old.ordinal),
    }[taken]

    def extend() -> None:
        with database.write() as connection:
            add_segments(connection, 1, [assembly("TS", 1, 2), assembly("SW", 2, 1, changed)])

    with pytest.raises(IntegrityError):
        extend()
    with database.read() as connection:
        assert len(kit_segments(connection, 1)) == 4
        assert len(kit_assemblies(connection, 1)) == 1
        assert connection.scalar(text("SELECT count(*) FROM issued_key")) == 8


def test_further_segments_join_the_assembly_that_stands(writing: Connection) -> None:
    make_kit(writing)
    cut = make_revision(writing)
    quarters = make_segments(KIT, revision=cut, count=2, first=5)
    before = kit_segments(writing, 1)
    void_segment(writing, before[0].id, "cut into quarters")
    add_segments(
        writing,
        1,
        [replace(assembly("SW", 2, 99, *quarters), name="another name")],
        [NewJoint(first=quarters[1].number, second=before[1].number, form="dovetail")],
    )
    after = kit_segments(writing, 1)
    assert [(row.place, row.voided) for row in after] == [
        ("SW2-U1", True),
        ("SW2-U2", False),
        ("SW2-U3", False),
        ("SW2-U4", False),
        ("SW2-U5", False),
        ("SW2-U6", False),
    ]
    assert {(row.assembly_id, row.assembly_name) for row in after} == {(1, "discharge star wheel")}
    newest = kit_joints(writing, 1)[-1]
    assert (newest.first.place, newest.second.place) == ("SW2-U2", "SW2-U6")


def test_a_joint_with_an_unknown_number_is_named(writing: Connection) -> None:
    make_kit(writing)
    with pytest.raises(NumberUnknown) as caught:
        add_segments(writing, 1, [], [NewJoint(first="OSV4-FC1-A500-SW2-U1-60", second="OSV9-FC1-A500-SW2-U1-02")])
    assert str(caught.value.value).startswith("OSV")
    assert len(kit_joints(writing, 1)) == 3


def test_a_shared_segment_serves_both_kits_under_its_first_number(writing: Connection) -> None:
    first = make_kit(writing)
    guide = kit_segments(writing, first.id)[2]
    second = make_kit(writing, design="C", nominal=500, shared_segment_ids=[guide.id])
    assert shared_into(writing, second.id) == (guide,)
    assert shared_into(writing, first.id) == ()
    assert serves(writing, guide.id) == (second.number,)
    assert guide.number not in {row.number for row in kit_segments(writing, second.id)}


def test_a_kit_may_run_further_containers(writing: Connection) -> None:
    plant = make_plant(writing)
    sport = make_container(writing, customer_id=plant.customer_id, nominal=330, name="sport 330 mL")
    kit = make_kit(writing, further_container_ids=[sport.id])
    assert further_containers(writing, kit.id) == (sport,)
    assert kit.container != sport


def test_pages_of_kits_follow_each_other_and_new_kits_shift_nothing(writing: Connection) -> None:
    for nominal in (100, 200, 300, 400, 500):
        make_kit(writing, nominal=nominal)
    first = kit_page(writing, after=None, limit=2)
    make_kit(writing, nominal=600)
    second = kit_page(writing, after=first[-1].number, limit=2)
    third = kit_page(writing, after=second[-1].number, limit=2)
    assert [row.number[-3:] for row in first + second + third] == ["500", "400", "300", "200", "100"]
    assert kit_page(writing, after=third[-1].number, limit=2) == ()
    row = first[0]
    assert (row.container_name, row.machine_code, row.plant, row.customer) == (
        "tall round 500 mL",
        "FC1",
        "Ostrey Vale",
        "Tarnquill Waters",
    )
    assert (row.segments, row.status, row.issued_at) == (4, "issued", NOW)


def test_voided_places_are_not_counted(writing: Connection) -> None:
    make_kit(writing)
    void_segment(writing, 1, "drawn twice")
    assert kit_page(writing, after=None, limit=1)[0].segments == 3


def test_a_page_after_an_unknown_kit_is_refused(writing: Connection) -> None:
    with pytest.raises(BadRequest) as caught:
        kit_page(writing, after="OSV4-FC1-A500", limit=2)
    assert caught.value.field == "after"


def test_of_two_who_edit_the_same_version_the_second_is_told(writing: Connection) -> None:
    kit = make_kit(writing)
    assert raise_version(writing, kit.id, 1)
    assert not raise_version(writing, kit.id, 1)
    assert raise_version(writing, kit.id, None)
    assert raise_version(writing, kit.id, 3)
    again = find_kit(writing, kit.number)
    assert again is not None
    assert again.version == 4
    assert not raise_version(writing, 99, None)


def test_a_kit_of_any_size_is_written_in_a_handful_of_statements(database: Database) -> None:
    statements: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        statements.append(statement)

    counts = []
    for nominal, segments in ((300, 2), (400, 150)):
        with database.write() as connection:
            make_kit(connection, nominal=nominal - 1, segments=1)
            event.listen(connection, "before_cursor_execute", note)
            statements.clear()
            make_kit(connection, nominal=nominal, segments=segments)
            counts.append(len(statements))
            event.remove(connection, "before_cursor_execute", note)
    assert counts[0] == counts[1]
