"""Proving marks: a plate, what is engraved beside it, and the verdict that stays on record."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from schemas.answers import KitAnswer
from schemas.inspections import InspectionAnswer, InspectionRequest
from schemas.pieces import ScrapRequest, SetRequest, TrackRequest
from service.errors import AmbiguousMark, BadRequest, Contradiction, MarkUnknown, PieceGone, SetUnknown
from service.work.history import history
from service.work.make_set import make_set
from service.work.once import Retry
from service.work.prove import prove_marks, show_proof
from service.work.scrap import scrap_piece
from service.work.track_pieces import track_pieces
from service.work.verify_ledger import verify_ledger
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, issue_small, segment

KIT = "OSV4-FC1-A500"


def prove(workshop: Workshop, plate: str, **more: object) -> InspectionAnswer:
    return prove_marks(workshop, KIT, InspectionRequest.model_validate({"plate": plate, **more}))


def key_at(kit: KitAnswer, number: str) -> str:
    (row,) = [row for row in kit.segments if row.number == number]
    key = row.pieces[0].key
    assert key is not None
    return key


def state_of(workshop: Workshop, number: str, set_number: int = 1) -> str:
    (row,) = [row for row in show_proof(workshop, KIT, set_number=set_number).pieces if row.number == number]
    return row.state


def verbs(workshop: Workshop, number: str) -> list[str]:
    return [event.verb for event in history(workshop, number).events]


def test_a_set_is_proved_piece_by_piece(stocked: Workshop, issued: KitAnswer) -> None:
    before = show_proof(stocked, KIT)
    assert (before.right, before.wrong, before.open) == (0, 0, len(before.pieces))
    for left, row in zip(range(len(before.pieces) - 1, -1, -1), before.pieces, strict=True):
        answer = prove(stocked, row.key or row.number, engraving=row.number)
        assert (answer.verdict, answer.number, answer.left) == ("right", row.number, left)
    after = show_proof(stocked, KIT)
    assert (after.right, after.open) == (len(before.pieces), 0)
    assert verify_ledger(stocked).whole


def test_the_first_right_look_binds_and_later_ones_inspect(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_at(issued, NUMBER_U3)
    assert prove(stocked, key, engraving=NUMBER_U4).verdict == "wrong"
    assert prove(stocked, key, engraving=NUMBER_U3).verdict == "right"
    again = prove(stocked, key, engraving=NUMBER_U3)
    assert any("two plates" in sentence for sentence in again.found)
    assert [verb for verb in verbs(stocked, NUMBER_U3) if verb in ("bind", "inspect")] == ["inspect", "bind", "inspect"]


def test_a_plate_on_the_neighbour_is_wrong_until_a_right_look_follows(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_at(issued, NUMBER_U3)
    wrong = prove(stocked, key, engraving=NUMBER_U4)
    assert wrong.verdict == "wrong"
    assert wrong.found[0] == f"the engraving names {NUMBER_U4}, the plate {NUMBER_U3}"
    assert state_of(stocked, NUMBER_U3) == "wrong"
    prove(stocked, key, engraving=NUMBER_U3)
    assert state_of(stocked, NUMBER_U3) == "right"


def test_the_engraved_key_of_another_piece_of_the_segment_is_wrong(stocked: Workshop, issued: KitAnswer) -> None:
    make_set(stocked, KIT, SetRequest())
    second = next(row.key for row in show_proof(stocked, KIT, set_number=2).pieces if row.number == NUMBER_U3)
    wrong = prove(stocked, key_at(issued, NUMBER_U3), engraving=second)
    assert (wrong.verdict, wrong.found[0]) == ("wrong", "the engraved key is that of another piece of this segment")


def test_the_engraved_revision_is_held_against_the_record(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_at(issued, NUMBER_U3)
    assert prove(stocked, key, engraved_revision="-").verdict == "right"
    wrong = prove(stocked, key, engraved_revision="b")
    assert wrong.found[0] == "revision B is engraved, - is on record for this piece"


def test_a_thickness_far_off_is_pointed_out(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_at(issued, NUMBER_U3)
    near = prove(stocked, key, thickness_mm=25.3)
    assert "measures 25.3 mm, nominal 25 mm" in near.found
    far = prove(stocked, key, thickness_mm=24.2)
    assert far.verdict == "right"
    assert "measures 24.2 mm, nominal 25 mm: 0.8 mm off, look again" in far.found


def test_the_batch_is_kept_once(stocked: Workshop, issued: KitAnswer) -> None:
    key = key_at(issued, NUMBER_U3)
    prove(stocked, key, engraving=NUMBER_U4, material_batch="PE-1")
    prove(stocked, key, material_batch="PE-2291")
    with pytest.raises(Contradiction, match="PE-2291"):
        prove(stocked, key, material_batch="PE-2292")
    prove(stocked, key, material_batch="PE-2291")


def test_pieces_of_another_kit_set_or_life_are_refused(stocked: Workshop, issued: KitAnswer) -> None:
    container = {"code": "C330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"}
    other = issue_small(stocked, container=container, segments={"SW2": [segment("SW2-U4")]})
    with pytest.raises(Contradiction, match="OSV4-FC1-C330"):
        prove(stocked, other.segments[0].pieces[0].key or "")
    make_set(stocked, KIT, SetRequest())
    with pytest.raises(Contradiction, match="set 1"):
        prove(stocked, key_at(issued, NUMBER_U3), set=2)
    scrap_piece(stocked, key_at(issued, NUMBER_U3), ScrapRequest(kind="broken", note="jam"))
    with pytest.raises(PieceGone):
        prove(stocked, key_at(issued, NUMBER_U3))
    with pytest.raises(MarkUnknown):
        prove(stocked, "MRG1-LB1-A12-SW1-U1-02")
    with pytest.raises(SetUnknown):
        show_proof(stocked, KIT, set_number=3)


def test_a_plate_of_a_count_is_that_of_the_set_on_the_bench(stocked: Workshop, issued: KitAnswer) -> None:
    make_set(stocked, KIT, SetRequest())
    with pytest.raises(BadRequest, match="2 pieces"):
        prove(stocked, NUMBER_PLATES)
    assert prove(stocked, NUMBER_PLATES, set=2).set == 2
    assert (state_of(stocked, NUMBER_PLATES), state_of(stocked, NUMBER_PLATES, 2)) == ("open", "right")
    track_pieces(stocked, NUMBER_PLATES, TrackRequest(track=5, set=1))
    assert prove(stocked, NUMBER_PLATES, set=1).key is None


def test_a_retry_gives_the_first_answer(stocked: Workshop, issued: KitAnswer) -> None:
    asked = InspectionRequest(plate=key_at(issued, NUMBER_U3))
    retry = Retry.of("once", "POST /api/kits/OSV4-FC1-A500/inspections", asked.model_dump_json().encode())
    first = prove_marks(stocked, KIT, asked, retry=retry)
    assert prove_marks(stocked, KIT, asked, retry=retry) == first
    assert verbs(stocked, NUMBER_U3).count("bind") == 1
    assert "inspect" not in verbs(stocked, NUMBER_U3)


def test_a_plate_that_could_be_two_things_is_not_guessed(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(AmbiguousMark):
        prove(stocked, "OSV4-FC1-A500-SW2-U3-43")


@pytest.mark.parametrize("statement", ["DELETE FROM inspection", "UPDATE inspection SET verdict = 'right'"])
def test_a_look_is_kept(stocked: Workshop, issued: KitAnswer, statement: str) -> None:
    prove(stocked, key_at(issued, NUMBER_U3), engraving=NUMBER_U4)
    with pytest.raises(IntegrityError), stocked.database.write() as connection:
        connection.execute(text(statement))
