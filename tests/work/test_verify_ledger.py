"""What the verbs leave in the ledger, and the verification that anybody may ask for."""

from __future__ import annotations

import io
import re
import zipfile

import pytest
from sqlalchemy import text

from schemas.answers import EventAnswer, KitAnswer
from schemas.manifest_reading import read_manifest
from schemas.requests import CancelRequest, CorrectionRequest, FittedRequest, ReorderRequest
from service.errors import BadRequest
from service.store.chain import GENESIS
from service.work.correct import correct_kit
from service.work.engrave import engrave_segment
from service.work.fit import cancel_reorder, fit_reorder
from service.work.history import history
from service.work.issue import issue_kit
from service.work.packet import reorder_packet
from service.work.prepare import prepare_kit
from service.work.print_marks import print_segment
from service.work.reorder import reorder
from service.work.verify_ledger import ledger_tip, verify_ledger
from service.work.withdraw import withdraw_revision
from service.work.workshop import Actor, Workshop
from tests.small_kit import (
    NUMBER_PLATES,
    NUMBER_U2,
    NUMBER_U3,
    NUMBER_U4,
    as_bytes,
    file_of,
    manifest,
    release,
    segment,
)

KIT = "OSV4-FC1-A500"
WHO = Actor("somebody at the desk")


def last(workshop: Workshop, subject: str) -> EventAnswer:
    return history(workshop, subject).events[-1]


def facts(value: object) -> dict[str, object]:
    assert isinstance(value, dict)
    return value


def order(workshop: Workshop, mark: str, **more: object) -> int:
    request = ReorderRequest.model_validate({"mark": mark, "reason": "crushed", **more})
    return reorder(workshop, request, actor=WHO).id


def test_every_verb_leaves_a_whole_chain_with_who_did_it(stocked: Workshop, issued: KitAnswer) -> None:
    tips = [ledger_tip(stocked).tip]
    seen = ledger_tip(stocked).id
    body = {name: value for name, value in segment("SW2-U3").items() if name != "ordinal"}
    void = CorrectionRequest.model_validate(
        {"reason": "cut into two", "void": [{"number": NUMBER_U2, "replacements": [body]}]}
    )
    steps = (
        lambda: print_segment(stocked, NUMBER_U3, form="pdf", actor=WHO),
        lambda: engrave_segment(stocked, NUMBER_U3, form="dxf", actor=WHO),
        lambda: correct_kit(stocked, KIT, void, actor=WHO),
        lambda: fit_reorder(stocked, order(stocked, NUMBER_U3), FittedRequest(deviations=None), actor=WHO),
        lambda: cancel_reorder(stocked, order(stocked, NUMBER_U4), CancelRequest(reason="found it"), actor=WHO),
        lambda: withdraw_revision(stocked, file_of("OR1-L1"), "-", "pocket too tight", actor=WHO),
    )
    for step in steps:
        step()
        tips.append(ledger_tip(stocked).tip)
        assert ledger_tip(stocked).id > seen, "this verb left no trace"
        seen = ledger_tip(stocked).id
    answer = verify_ledger(stocked, tips=tips)
    assert answer.whole, answer.faults
    assert answer.anchors == tuple(tips)
    assert answer.tip == ledger_tip(stocked)
    with stocked.database.read() as connection:
        rows = connection.execute(text("SELECT actor, before, after FROM event WHERE actor = :who"), {"who": WHO.name})
        found = rows.all()
        others = {row.actor for row in connection.execute(text("SELECT actor FROM event"))} - {WHO.name}
    assert len(found) >= 11
    assert all(row.after is not None for row in found)
    assert others == {"service"}, "the fixtures' own"


def test_preparing_reserves_nothing_and_leaves_no_trace(stocked: Workshop) -> None:
    before = ledger_tip(stocked)
    assert prepare_kit(stocked, read_manifest(as_bytes(manifest()))).token
    assert ledger_tip(stocked) == before


def test_an_issue_says_all_that_the_kit_is(stocked: Workshop, issued: KitAnswer) -> None:
    event = last(stocked, KIT)
    after = facts(event.after)
    assert (event.verb, event.before) == ("issue", None)
    assert after == issued.model_dump(mode="json", exclude={"findings", "token", "status"})


def test_what_the_lint_said_stands_before_the_issue(stocked: Workshop) -> None:
    body = read_manifest(as_bytes(manifest()))
    token = prepare_kit(stocked, body).token
    made = issue_kit(stocked, body, token=token)
    prepared, _issued = history(stocked, KIT).events
    assert prepared.verb == "prepare"
    assert facts(prepared.after) == {
        "token": token,
        "findings": [finding.model_dump(mode="json") for finding in made.findings],
    }


def test_a_mark_is_on_record_before_it_is_drawn_and_again_after(stocked: Workshop, issued: KitAnswer) -> None:
    print_segment(stocked, NUMBER_U3, form="png")
    begun, made = history(stocked, NUMBER_U3).events[-2:]
    piece = next(row.pieces[0].key for row in issued.segments if row.number == NUMBER_U3)
    assert facts(begun.after)["state"] == "intended"
    assert facts(begun.after)["bear"] == [{"number": NUMBER_U3, "key": piece}]
    assert (facts(made.before)["state"], facts(made.after)["state"]) == ("intended", "made")


def test_a_revision_says_what_it_followed(stocked: Workshop) -> None:
    release(stocked, "SW2-U3", revision="A")
    first, second = history(stocked, file_of("SW2-U3")).events
    assert first.before is None
    assert second.before == {"revision": "-", "sha256": facts(first.after)["sha256"]}
    assert facts(second.after)["revision"] == "A"


def test_a_place_given_up_says_what_became_of_its_pieces(stocked: Workshop, issued: KitAnswer) -> None:
    body = {name: value for name, value in segment("SW2-U3").items() if name != "ordinal"}
    request = CorrectionRequest.model_validate(
        {"reason": "cut into two", "void": [{"number": NUMBER_U2, "replacements": [body]}]}
    )
    answer = correct_kit(stocked, KIT, request)
    event = last(stocked, NUMBER_U2)
    key = next(row.pieces[0].key for row in issued.segments if row.number == NUMBER_U2)
    assert facts(event.before)["pieces"] == [{"key": key, "count": 1, "condition": "fitted"}]
    assert facts(event.after)["pieces"] == [{"key": key, "count": 1, "condition": "scrapped"}]
    replaced_by = facts(event.after)["replaced_by"]
    assert isinstance(replaced_by, list)
    (replacement,) = replaced_by
    new = facts(last(stocked, replacement).after)
    row = next(row for row in answer.segments if row.number == replacement)
    assert (new["key"], new["in_place_of"], new["revision"]) == (row.key, NUMBER_U2, "-")
    assert new["pieces"] == [{"key": row.pieces[0].key, "set": 1, "count": 1}]


def test_a_fitted_piece_says_which_one_went_out(stocked: Workshop, issued: KitAnswer) -> None:
    old = next(row.pieces[0].key for row in issued.segments if row.number == NUMBER_U3)
    id_ = order(stocked, NUMBER_U3)
    answer = fit_reorder(stocked, id_, FittedRequest(deviations=None))
    after = facts(last(stocked, NUMBER_U3).after)
    assert after["fitted"] == [answer.key]
    assert after["scrapped"] == [{"key": old, "set": 1, "count": 1}]


def test_of_many_like_pieces_it_says_how_many_went_out(stocked: Workshop, issued: KitAnswer) -> None:
    id_ = order(stocked, NUMBER_PLATES, quantity=3)
    fit_reorder(stocked, id_, FittedRequest(deviations=None))
    after = facts(last(stocked, NUMBER_PLATES).after)
    assert after["scrapped"] == [{"key": None, "set": 1, "count": 3}]


def test_a_packet_carries_the_row_of_its_order(stocked: Workshop, issued: KitAnswer) -> None:
    order(stocked, NUMBER_U4)
    first, second = order(stocked, NUMBER_U3), order(stocked, NUMBER_U3, also="a second copy broke")
    tip = ledger_tip(stocked).tip
    for id_, says in ((second, tip), (first, None)):
        with zipfile.ZipFile(io.BytesIO(reorder_packet(stocked, id_))) as archive:
            note = archive.read("ledger.txt").decode()
        (told,) = re.findall(r"^([0-9a-f]{64}:\d+)$", note, re.MULTILINE)
        assert says is None or told == says
        assert f"--tip {told}" in note
        assert verify_ledger(stocked, tips=[told]).whole
    cut = f"DELETE FROM event WHERE id >= {tip.partition(':')[2]}"
    with stocked.database.write() as connection:
        local = connection.dialect.name == "sqlite"
        off = "DROP TRIGGER event_never_deleted" if local else "ALTER TABLE event DISABLE TRIGGER USER"
        connection.execute(text(off))
        connection.execute(text(cut))
    assert [fault.kind for fault in verify_ledger(stocked, tips=[tip]).faults] == ["cut_off"]
    with zipfile.ZipFile(io.BytesIO(reorder_packet(stocked, second))) as archive:
        assert f"no row of reorder {second}" in archive.read("ledger.txt").decode()


def test_an_empty_ledger_is_whole(workshop: Workshop) -> None:
    answer = verify_ledger(workshop)
    assert answer.whole
    assert (answer.rows, answer.tip.id, answer.tip.at, answer.tip.tip) == (0, 0, None, f"{GENESIS}:0")


def test_a_tip_of_another_shop_is_named(stocked: Workshop) -> None:
    row = ledger_tip(stocked).id
    answer = verify_ledger(stocked, tips=[f"{'ab' * 32}:{row}", f"{'ab' * 32}:{row + 7}"])
    assert not answer.whole
    assert [(fault.kind, fault.id, fault.last_id) for fault in answer.faults] == [
        ("rewritten", row, row),
        ("cut_off", row + 1, row + 7),
    ]


def test_what_is_no_tip_is_refused(workshop: Workshop) -> None:
    with pytest.raises(BadRequest, match="not a tip of the ledger"):
        verify_ledger(workshop, tips=["the last one"])


def test_progress_is_told_up_to_the_last_row(stocked: Workshop) -> None:
    told: list[tuple[int, int]] = []
    answer = verify_ledger(stocked, read=lambda read, rows: told.append((read, rows)))
    assert told[-1] == (answer.rows, answer.rows)
