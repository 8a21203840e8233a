"""Cut files: releases in order, what they changed, withdrawal, and what was cut from them."""

from __future__ import annotations

import pytest
from sqlalchemy import Connection

from service.errors import BadRequest
from service.store.cutfiles import (
    cut_file_page,
    drawing_bytes,
    find_cut_file,
    find_revision,
    pieces_cut_from,
    revision_by_id,
    revision_by_ids,
    revisions,
    revisions_of,
    users_of,
    withdraw_revision,
)
from service.store.pieces import add_piece, set_condition
from service.store.segments import void_segment
from tests.factories import NOW, make_key, make_kit, make_revision

NAME = "osv4-fc1-a500-sw2-u3.dxf"


def test_releases_of_one_name_are_one_cut_file_in_order(writing: Connection) -> None:
    first = make_revision(writing)
    make_revision(writing, name="other.dxf")
    second = make_revision(
        writing, letter="A", ordinal=1, joints_changed=["SW2-U4", "SW2-U2", "SW2-U4"], interfaces_changed=["hub bore"]
    )
    assert first.cut_file_id == second.cut_file_id == find_cut_file(writing, NAME)
    assert revisions(writing, NAME) == revisions(writing, first.cut_file_id) == (first, second)
    assert (first.joints_changed, first.interfaces_changed) == ((), ())
    assert second.joints_changed == ("SW2-U2", "SW2-U4")
    assert second.interfaces_changed == ("hub bore",)
    assert find_revision(writing, NAME, "A") == revision_by_id(writing, second.id) == second
    assert find_revision(writing, NAME, "B") is None
    assert find_cut_file(writing, "never.dxf") is None
    assert revisions(writing, "never.dxf") == ()
    assert revision_by_id(writing, 99) is None


def test_order_is_by_ordinal_not_by_letter(writing: Connection) -> None:
    letters = ["-", *"ABCDEFGHJKLMNPRTUVWY", "AA"]
    for ordinal, letter in reversed(list(enumerate(letters))):
        make_revision(writing, letter=letter, ordinal=ordinal)
    assert [row.letter for row in revisions(writing, NAME)] == letters


def test_revisions_of_several_cut_files(writing: Connection) -> None:
    one, two = make_revision(writing), make_revision(writing, name="other.dxf", joints_changed=["SW2-U1"])
    found = revisions_of(writing, [one.cut_file_id, two.cut_file_id, 99])
    assert found == {one.cut_file_id: (one,), two.cut_file_id: (two,), 99: ()}
    assert revision_by_ids(writing, [one.id, two.id, 99]) == {one.id: one, two.id: two}


def test_drawings_come_back_byte_by_byte(writing: Connection) -> None:
    every = bytes(range(256))
    row = make_revision(writing, data=every)
    assert drawing_bytes(writing, [row.id, 99]) == {row.id: b"drawing of " + every}
    assert drawing_bytes(writing, []) == {}


def test_a_withdrawn_revision_stays_on_record_and_the_first_reason_stands(writing: Connection) -> None:
    row = make_revision(writing)
    withdraw_revision(writing, row.id, NOW, "pocket too tight")
    withdraw_revision(writing, row.id, "2027-01-01T00:00:00Z", "another reason")
    (found,) = revisions(writing, NAME)
    assert (found.withdrawn_at, found.withdrawn_reason) == (NOW, "pocket too tight")


def test_every_piece_cut_from_a_revision_is_found_whatever_became_of_it(writing: Connection) -> None:
    bad = make_revision(writing, name="star.dxf")
    good = make_revision(writing, name="star.dxf", letter="A", ordinal=1)
    make_kit(writing, revision=bad)
    make_kit(writing, revision=good, design="C")
    set_condition(writing, 1, "scrapped")
    void_segment(writing, 2, "drawn twice")
    spare = add_piece(writing, segment_id=8, key=make_key(), set_number=2, revision_id=bad.id, condition="ordered")
    found = pieces_cut_from(writing, bad.id)
    assert [(segment.id, piece.id) for segment, piece in found] == [(1, 1), (2, 2), (3, 3), (4, 4), (8, spare.id)]
    assert {piece.revision for _, piece in found} == {"-"}
    assert pieces_cut_from(writing, 99) == ()


def test_users_of_a_cut_file_kit_by_kit(writing: Connection) -> None:
    cut = make_revision(writing, name="star.dxf")
    make_kit(writing, revision=cut, segments=2)
    make_kit(writing, revision=cut, segments=2, design="C")
    make_kit(writing, nominal=330)
    assert [(row.kit_number, row.place) for row in users_of(writing, cut.cut_file_id)] == [
        ("OSV4-FC1-A500", "SW2-U1"),
        ("OSV4-FC1-A500", "SW2-U2"),
        ("OSV4-FC1-C500", "SW2-U1"),
        ("OSV4-FC1-C500", "SW2-U2"),
    ]


def test_pages_of_cut_files(writing: Connection) -> None:
    cut = make_revision(writing, name="star.dxf")
    newest = make_revision(writing, name="star.dxf", letter="A", ordinal=1)
    make_kit(writing, revision=cut, segments=3)
    void_segment(writing, 1, "drawn twice")
    make_revision(writing, name="guide.dxf")
    first = cut_file_page(writing, after=None, limit=1)
    second = cut_file_page(writing, after="guide.dxf", limit=5)
    assert [row.name for row in first + second] == ["guide.dxf", "star.dxf"]
    assert (second[0].revision, second[0].revisions, second[0].segments) == ("A", 2, 2)
    withdraw_revision(writing, newest.id, NOW, "pocket too tight")
    assert cut_file_page(writing, after="guide.dxf", limit=5)[0].revision == "-"
    withdraw_revision(writing, cut.id, NOW, "pocket too tight")
    assert cut_file_page(writing, after="guide.dxf", limit=5)[0].revision is None
    with pytest.raises(BadRequest):
        cut_file_page(writing, after="never.dxf", limit=5)
