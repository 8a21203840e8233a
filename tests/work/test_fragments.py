"""Half a key and half a legacy mark, against the records."""

from __future__ import annotations

from random import Random

import pytest
from sqlalchemy import Connection, select

from service.numbering.alias_fragments import few_enough, slips_reckoned_with
from service.numbering.alignment import align
from service.numbering.error_model import CameBy, error_model
from service.rules.legacy_marks import folded
from service.store import aliases
from service.store.aliases import NewAlias, WrongRow
from service.store.tables import IssuedKey
from service.work import fragments
from service.work.fragments import aliases_from, keys_from
from tests.factories import make_kit

NOW = "2026-01-05T08:00:00.000000Z"
EYE = error_model(CameBy.EYE)


@pytest.fixture
def kit(writing: Connection) -> Connection:
    """A kit of 40 segments, each with a legacy mark of its own."""
    make_kit(writing, segments=40)
    rng = Random(3)
    for id_ in range(1, 41):
        name_alias(writing, id_, f"TW/{rng.randrange(100, 999)}-{rng.choice('ABCDEFGH')} {rng.randrange(10, 99)} left")
    return writing


def name_alias(connection: Connection, segment_id: int, text: str) -> int:
    new = NewAlias(kind="segment", subject_id=segment_id, text=text, folded=folded(text), source="binder", note="")
    (row,) = aliases.add_aliases(connection, [(new, 1)], by="test", at=NOW)
    return row.id


def test_half_a_key_finds_its_segment(kit: Connection) -> None:
    key, segment_id = kit.execute(select(IssuedKey.key, IssuedKey.segment_id).order_by(IssuedKey.key)).first() or (
        "",
        0,
    )
    found = keys_from(kit, f"{key[:3].lower()}? {key[4:7]}", came_by=CameBy.EYE)
    first = found.candidates[0]
    assert (first.key, first.subject_id, first.kind) == (key, segment_id, "segment")
    assert first.number == first.name
    assert first.assumed[0] == "it is part of a key"
    assert found.consistent == 1


def test_a_misread_key_says_what_was_misread(kit: Connection) -> None:
    key = kit.scalars(select(IssuedKey.key)).first() or ""
    wrong = "O" if key[2] != "C" else "G"
    first = keys_from(kit, key[:2] + wrong + key[3:], came_by=CameBy.EYE).candidates[0]
    assert first.key == key
    assert f"{key[2]} read as {wrong}" in first.assumed


@pytest.mark.parametrize("mark", ["", "   ", "OSV4-FC1-A500-SW2-U3-42", "ä", "OSV4FC1A500S"])
def test_what_can_be_no_key_finds_none(kit: Connection, mark: str) -> None:
    assert keys_from(kit, mark, came_by=None).candidates == ()


def test_half_a_legacy_mark_finds_what_bears_it(kit: Connection) -> None:
    name_alias(kit, 7, "Große Glocke 4711 (blau)")
    for said in ("glocke 47", "GROSSE GL?CKE", "gro* 4711 blau", "glokce 4711", "Glocke 4771"):
        found = aliases_from(kit, said, came_by=CameBy.KEYBOARD)
        assert found.candidates[0].subject_id == 7, said
        assert found.candidates[0].alias == "Große Glocke 4711 (blau)"
        assert "legacy mark" in found.candidates[0].assumed[0]


def test_a_mark_that_does_not_hold_finds_nothing(kit: Connection) -> None:
    id_ = name_alias(kit, 7, "Glocke 4711")
    assert aliases_from(kit, "glocke", came_by=None).candidates
    aliases.mark_wrong(kit, id_, WrongRow("of the other line", "test", NOW))
    assert not aliases_from(kit, "glocke", came_by=None).candidates


def test_it_finds_what_a_look_at_every_legacy_mark_finds(kit: Connection) -> None:
    rows = aliases.alias_page(kit, part=None, kind=None, subject_id=None, after=0, limit=100)
    rng = Random(5)
    for _ in range(25):
        signs = list(rng.choice(rows).folded.upper())
        for _ in range(rng.randrange(3)):
            at = rng.randrange(len(signs) - 1)
            signs[at : at + 2] = rng.choice([signs[at : at + 2][::-1], [signs[at]], ["?", signs[at + 1]]])
        read = "".join(signs[rng.randrange(4) :])
        runs = [run.lower() for run in read.split("?") if run]
        by_hand = {
            row.subject_id
            for row in rows
            if (way := align(read, row.folded.upper(), EYE)) is not None and few_enough(way, slips_reckoned_with(runs))
        }
        found = aliases_from(kit, read, came_by=CameBy.EYE, limit=100)
        assert {one.subject_id for one in found.candidates} == by_hand
        costs = [one.cost for one in found.candidates]
        assert costs == sorted(costs)


def test_too_little_of_a_legacy_mark_is_said(kit: Connection, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fragments, "MOST_COMPARED", 10)
    found = aliases_from(kit, "left", came_by=None)
    assert found.candidates == ()
    assert found.consistent is None
    assert found.note
