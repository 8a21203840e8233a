"""Pieces, marks and reorders: what was made and what happened to it."""

from __future__ import annotations

import pytest
from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from service.store.marks import NewMark, any_mark, intend_marks, marks_of, settle_marks
from service.store.pieces import (
    add_piece,
    as_built,
    piece_by_key,
    pieces_of,
    pieces_of_kit,
    set_condition,
    set_deviations,
)
from service.store.reorders import add_reorder, find_reorder, open_reorders, reorder_page, set_reorder_state
from service.store.segments import key_owner
from tests.factories import NOW, make_key, make_kit


def order(connection: Connection, *, segment_id: int = 1, revision_id: int | None = 1) -> int:
    """A reorder of a crushed segment, by its as-built revision if there is one."""
    return add_reorder(
        connection,
        segment_id=segment_id,
        damaged_piece_id=segment_id,
        new_piece_id=None,
        quantity=1,
        reason="crushed",
        prefer="as_built",
        outcome="exact" if revision_id else "no_record",
        revision_id=revision_id,
        decision='{"reasons":["as built"]}',
        ordered_at=NOW,
    )


def mark(*, segment_id: int) -> NewMark:
    """A nameplate of a segment."""
    return NewMark(
        segment_id=segment_id,
        piece_id=segment_id,
        kind="nameplate",
        form="nameplate-60x22",
        text="K7M4XRAW",
        made_at=NOW,
    )


def test_a_new_piece_is_found_by_its_key_and_belongs_to_its_segment(writing: Connection) -> None:
    make_kit(writing)
    key = make_key()
    piece = add_piece(
        writing,
        segment_id=3,
        key=key,
        set_number=2,
        revision_id=1,
        condition="ordered",
        made_at=NOW,
        material_batch="PE-117",
        deviations="bore opened to 30.2 mm",
    )
    assert piece.revision == "-"
    assert piece_by_key(writing, key) == piece
    assert pieces_of(writing, 3) == (*pieces_of(writing, 3)[:1], piece)
    owner = key_owner(writing, key)
    assert owner is not None
    assert (owner.segment_id, owner.piece_id) == (3, piece.id)
    assert piece_by_key(writing, "K7M4XRAW") is None


def test_a_piece_whose_revision_is_not_known(writing: Connection) -> None:
    make_kit(writing)
    piece = add_piece(writing, segment_id=1, key=make_key(), set_number=2, revision_id=None, condition="fitted")
    assert (piece.revision_id, piece.revision) == (None, None)
    assert pieces_of(writing, 1)[1] == piece


@pytest.mark.parametrize("whose", ["segment", "piece"])
def test_a_key_is_never_given_twice(writing: Connection, whose: str) -> None:
    make_kit(writing)
    piece = pieces_of(writing, 1)[0]
    owner = key_owner(writing, piece.key or "")
    assert owner is not None
    key = writing.exec_driver_sql("SELECT key FROM segment WHERE id = 1").scalar() if whose == "segment" else piece.key
    with pytest.raises(IntegrityError), writing.begin_nested():
        add_piece(writing, segment_id=2, key=key, set_number=2, revision_id=1, condition="ordered")
    assert len(pieces_of(writing, 2)) == 1


def test_as_built_is_what_sits_in_the_machine(writing: Connection) -> None:
    make_kit(writing)
    add_piece(writing, segment_id=1, key=make_key(), set_number=1, revision_id=1, condition="ordered")
    set_condition(writing, 2, "damaged")
    set_condition(writing, 3, "scrapped")
    found = as_built(writing, [1, 2, 3, 4, 99])
    assert {segment_id: [piece.id for piece in pieces] for segment_id, pieces in found.items()} == {
        1: [1],
        2: [],
        3: [],
        4: [4],
        99: [],
    }


def test_pieces_of_a_kit_by_segment(writing: Connection) -> None:
    make_kit(writing)
    make_kit(writing, design="C")
    found = pieces_of_kit(writing, 2)
    assert list(found) == [5, 6, 7, 8]
    assert all(pieces == pieces_of(writing, segment_id) for segment_id, pieces in found.items())


def test_rework_on_site_is_noted_and_taken_back(writing: Connection) -> None:
    make_kit(writing)
    set_deviations(writing, 1, "pocket relieved by 0.5 mm")
    assert [piece.deviations for piece in pieces_of(writing, 1) + pieces_of(writing, 2)] == [
        "pocket relieved by 0.5 mm",
        None,
    ]
    set_deviations(writing, 1, None)
    assert pieces_of(writing, 1)[0].deviations is None


def test_a_mark_counts_from_the_moment_it_is_intended(writing: Connection) -> None:
    make_kit(writing)
    assert any_mark(writing, [1, 2, 3]) == frozenset()
    ids = intend_marks(writing, [mark(segment_id=1), mark(segment_id=2), mark(segment_id=3)])
    assert ids == [1, 2, 3]
    assert any_mark(writing, [1, 2, 3, 4]) == {1, 2, 3}
    settle_marks(writing, ids[:1], "made", "zxing-cpp")
    settle_marks(writing, ids[1:2], "failed", None)
    assert any_mark(writing, [1, 2, 3, 4]) == {1, 3}
    (row,) = marks_of(writing, 1)
    assert (row.state, row.verified_by, row.text, row.piece_id) == ("made", "zxing-cpp", "K7M4XRAW", 1)
    assert intend_marks(writing, [mark(segment_id=1)]) == [4]
    assert [row.id for row in marks_of(writing, 1)] == [1, 4]
    assert intend_marks(writing, []) == []
    settle_marks(writing, [], "made", None)


def test_a_reorder_carries_what_to_cut(writing: Connection) -> None:
    make_kit(writing)
    id_ = order(writing)
    row = find_reorder(writing, id_)
    assert row is not None
    assert (row.number, row.cut_file, row.revision) == ("OSV4-FC1-A500-SW2-U1-48", "osv4-fc1-a500-sw2.dxf", "-")
    assert row.sha256 is not None
    assert len(row.sha256) == 64
    assert (row.state, row.decision, row.new_key) == ("open", '{"reasons":["as built"]}', None)
    assert find_reorder(writing, 99) is None


def test_a_reorder_without_a_record_has_nothing_to_cut(writing: Connection) -> None:
    make_kit(writing)
    row = find_reorder(writing, order(writing, revision_id=None))
    assert row is not None
    assert (row.outcome, row.cut_file, row.revision, row.sha256) == ("no_record", None, None, None)


def test_a_reorder_names_the_new_pieces_key(writing: Connection) -> None:
    make_kit(writing)
    piece = add_piece(writing, segment_id=1, key=make_key(), set_number=1, revision_id=1, condition="ordered")
    id_ = add_reorder(
        writing,
        segment_id=1,
        damaged_piece_id=1,
        new_piece_id=piece.id,
        quantity=1,
        reason="crushed",
        prefer="newest",
        outcome="current_fits",
        revision_id=1,
        decision="{}",
        ordered_at=NOW,
    )
    row = find_reorder(writing, id_)
    assert row is not None
    assert row.new_key == piece.key


def test_open_reorders_and_pages(writing: Connection) -> None:
    make_kit(writing)
    ids = [order(writing, segment_id=segment_id) for segment_id in (1, 1, 2, 1)]
    set_reorder_state(writing, ids[1], "fitted")
    assert [row.id for row in open_reorders(writing, 1)] == [ids[0], ids[3]]
    assert [row.id for row in reorder_page(writing, after=None, limit=3)] == [4, 3, 2]
    assert [row.id for row in reorder_page(writing, after=2, limit=3)] == [1]
    assert [row.id for row in reorder_page(writing, after=None, limit=9, state="open")] == [4, 3, 1]
