"""From a mark to the revision that still locks, the new piece and its packet."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import pytest

from schemas.answers import KitAnswer, ReorderAnswer
from schemas.requests import CancelRequest, FittedRequest, ReorderRequest
from service.errors import (
    AmbiguousMark,
    BadRequest,
    CutFileAltered,
    CutFileMissing,
    MarkUnknown,
    ReorderClosed,
    ReorderUnknown,
    RevisionWithdrawn,
)
from service.outlines.drawing import read_drawing
from service.work.fit import cancel_reorder, fit_reorder
from service.work.history import history
from service.work.once import Retry
from service.work.packet import reorder_packet, work_sheet
from service.work.reorder import list_reorders, reorder, show_reorder
from service.work.resolve import resolve_mark
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U2, NUMBER_U3, NUMBER_U4, file_of, make_dxf, release

REWORKED = FittedRequest(deviations="pocket 2 opened by hand")


def order(workshop: Workshop, mark: str = NUMBER_U3, **more: object) -> ReorderAnswer:
    return reorder(workshop, ReorderRequest.model_validate({"mark": mark, "reason": "crushed", **more}))


def conditions(workshop: Workshop, number: str = NUMBER_U3) -> list[tuple[str | None, str]]:
    return [(piece.revision, piece.condition) for piece in resolve_mark(workshop, number).pieces]


def test_the_as_built_revision_is_cut_and_the_piece_gets_its_own_key(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    answer = order(stocked)
    assert answer.outcome == "exact"
    assert answer.cut is not None
    assert answer.cut.revision == "-"
    assert answer.cut.sha256 == hashlib.sha256(make_dxf(corner=(-150.3, -150.3))).hexdigest()
    known = {row.key for row in issued.segments} | {piece.key for row in issued.segments for piece in row.pieces}
    assert answer.key not in known
    assert set(answer.survivors) == {NUMBER_U2, NUMBER_U4}
    assert show_reorder(stocked, answer.id) == answer


def test_the_damaged_text_of_a_caller_is_enough(stocked: Workshop, issued: KitAnswer) -> None:
    assert order(stocked, "0sv4 fc1 a5oo 5w2 u3 42").number == NUMBER_U3


def test_a_changed_joint_takes_the_neighbour_along(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A", joints_changed="SW2-U4")
    release(stocked, "SW2-U4", revision="A", joints_changed=NUMBER_U3)
    answer = order(stocked, prefer="newest")
    assert answer.outcome == "current_needs_neighbours"
    assert [(also.number, also.revision, len(also.keys)) for also in answer.also_cut] == [(NUMBER_U4, "A", 1)]
    fit_reorder(stocked, answer.id, REWORKED)
    assert conditions(stocked, NUMBER_U4) == [("-", "scrapped"), ("A", "fitted")]
    # From now on the pair locks at the new joint, and an exact copy is the new revision with its rework.
    again = order(stocked)
    assert again.outcome == "exact_with_deviations"
    assert again.cut is not None
    assert again.cut.revision == "A"
    assert any("pocket 2 opened by hand" in reason for reason in again.reasons)


def test_a_revision_that_changes_nothing_that_meets_fits_when_asked_for(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    answer = order(stocked, prefer="newest", survivors=[NUMBER_U2, "OSV4-FC1-A500-SW2-U4"])
    assert (answer.outcome, answer.cut and answer.cut.revision) == ("current_fits", "A")


def test_an_ordered_piece_is_nobodys_as_built(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    first = order(stocked, prefer="newest")
    second = order(stocked, also="the first one may be lost")
    assert second.cut is not None
    assert second.cut.revision == "-"
    assert (second.open_orders, second.also) == ((first.id,), "the first one may be lost")


def test_fitting_scraps_the_old_piece_and_cancelling_spends_the_key(stocked: Workshop, issued: KitAnswer) -> None:
    fitted = fit_reorder(stocked, order(stocked).id, FittedRequest())
    assert (fitted.state, conditions(stocked)) == ("fitted", [("-", "scrapped"), ("-", "fitted")])
    cancelled = cancel_reorder(stocked, order(stocked).id, CancelRequest(reason="found a spare"))
    assert (cancelled.state, conditions(stocked)[-1]) == ("cancelled", ("-", "scrapped"))
    for closed in (fitted.id, cancelled.id):
        with pytest.raises(ReorderClosed):
            fit_reorder(stocked, closed, FittedRequest())


def test_of_forty_like_pieces_any_broken_one_is_cut_again(stocked: Workshop, issued: KitAnswer) -> None:
    answer = order(stocked, NUMBER_PLATES, quantity=3)
    assert answer.outcome == "exact"
    assert len(set(answer.keys)) == 3
    fit_reorder(stocked, answer.id, FittedRequest())
    pieces = resolve_mark(stocked, NUMBER_PLATES).pieces
    assert sum(piece.count for piece in pieces if piece.condition == "fitted") == 40
    assert sum(piece.count for piece in pieces if piece.condition == "scrapped") == 3


def test_of_pieces_that_are_not_alike_the_key_is_asked_for(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "BP1-X1", revision="A")
    newer = order(stocked, NUMBER_PLATES, prefer="newest")
    fit_reorder(stocked, newer.id, FittedRequest())
    asked = order(stocked, NUMBER_PLATES)
    assert (asked.outcome, asked.cut, asked.key) == ("no_record", None, None)
    assert any("key" in reason for reason in asked.reasons)
    by_key = order(stocked, newer.key or "")
    assert by_key.cut is not None
    assert by_key.cut.revision == "A"


def test_a_withdrawn_as_built_revision_is_never_cut(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A")
    withdrawn = withdraw_revision(stocked, file_of("SW2-U3"), "-", "pocket too deep")
    assert [(piece.number, piece.condition) for piece in withdrawn.pieces] == [(NUMBER_U3, "fitted")]
    answer = order(stocked)
    assert (answer.outcome, answer.cut and answer.cut.revision) == ("current_fits", "A")


@pytest.mark.parametrize("mark", ["OSV4-FC1-A500-SW2-U9-24", "nothing like it", "K7M4XRAW"])
def test_an_unknown_mark_is_said(stocked: Workshop, issued: KitAnswer, mark: str) -> None:
    with pytest.raises((MarkUnknown, AmbiguousMark)):
        order(stocked, mark)


def test_a_wrong_check_is_never_taken_for_the_segment(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(AmbiguousMark) as caught:
        order(stocked, "OSV4-FC1-A500-SW2-U3-43")
    assert NUMBER_U3 in caught.value.candidates


def test_a_survivor_has_to_be_a_neighbour(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(BadRequest) as caught:
        order(stocked, survivors=["OSV4-FC1-A500-SW2-U1-48"])
    assert caught.value.field == "survivors[0]"
    assert list_reorders(stocked, after=None, limit=10) == ()


def test_a_repeated_order_is_one_order(stocked: Workshop, issued: KitAnswer) -> None:
    request = ReorderRequest(mark=NUMBER_U3, reason="crushed")
    retry = Retry.of("once", "POST /api/reorders", b"the same")
    assert reorder(stocked, request, retry=retry) == reorder(stocked, request, retry=retry)
    assert len(list_reorders(stocked, after=None, limit=10)) == 1


def test_an_unknown_reorder_is_said(workshop: Workshop) -> None:
    with pytest.raises(ReorderUnknown):
        show_reorder(workshop, 17)


def released(files: dict[str, bytes]) -> bytes:
    """The cut file of the ordered segment in a packet."""
    return files["cut/osv4-fc1-a500-sw2-u3-rev-A.dxf"]


def names(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_packet_holds_everything_and_is_the_same_each_time(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A", joints_changed="SW2-U4")
    release(stocked, "SW2-U4", revision="A", joints_changed="SW2-U3")
    answer = order(stocked, prefer="newest")
    data = reorder_packet(stocked, answer.id)
    files = names(data)
    assert files["work-sheet.pdf"].startswith(b"%PDF")
    assert files["nameplates.pdf"].startswith(b"%PDF")
    for cut in (answer.cut, *answer.also_cut):
        assert cut is not None
        stem = cut.cut_file.removesuffix(".dxf")
        assert hashlib.sha256(files[f"cut/{stem}-rev-{cut.revision}.dxf"]).hexdigest() == cut.sha256
    assert f"engraving/{NUMBER_U3} {answer.key}.dxf" in files
    # The text lies in the profile's own drawing too, and every line of the released file is still there.
    whole = files[f"engraving/{NUMBER_U3} {answer.key} with profile.dxf"]
    assert b"ENGRAVE_TEXT" in whole
    assert read_drawing(whole, name="again.dxf").material.equals(read_drawing(released(files), name="x.dxf").material)
    assert f"engraving/{NUMBER_U4} {answer.also_cut[0].keys[0]}.dxf" in files
    for line in files["SHA256SUMS"].decode().splitlines():
        digest, name = line.split("  ", 1)
        assert hashlib.sha256(files[name]).hexdigest() == digest
    assert reorder_packet(stocked, answer.id) == data


def test_one_altered_byte_and_the_packet_is_refused(stocked: Workshop, issued: KitAnswer, tmp_path: Path) -> None:
    answer = order(stocked)
    assert answer.cut is not None
    kept = tmp_path / "vault" / "sha256" / answer.cut.sha256[:2] / answer.cut.sha256[2:]
    whole = kept.read_bytes()
    kept.chmod(0o644)
    kept.write_bytes(whole[:-2] + bytes([whole[-2] ^ 1]) + whole[-1:])
    with pytest.raises(CutFileAltered, match=answer.cut.sha256[:20]):
        reorder_packet(stocked, answer.id)
    kept.unlink()
    with pytest.raises(CutFileMissing):
        reorder_packet(stocked, answer.id)


def test_a_packet_of_a_revision_withdrawn_since_is_refused(stocked: Workshop, issued: KitAnswer) -> None:
    answer = order(stocked)
    withdraw_revision(stocked, file_of("SW2-U3"), "-", "wrong bore")
    with pytest.raises(RevisionWithdrawn, match="wrong bore"):
        reorder_packet(stocked, answer.id)


def test_a_reorder_without_record_still_has_a_sheet_that_says_not_to_cut(stocked: Workshop, issued: KitAnswer) -> None:
    withdraw_revision(stocked, file_of("SW2-U3"), "-", "wrong bore")
    answer = order(stocked)
    assert answer.outcome == "no_record"
    assert work_sheet(stocked, answer.id).startswith(b"%PDF")
    assert set(names(reorder_packet(stocked, answer.id))) == {"work-sheet.pdf", "ledger.txt", "SHA256SUMS"}


def test_the_damage_stands_in_the_ledger_before_the_order(stocked: Workshop, issued: KitAnswer) -> None:
    order(stocked, NUMBER_U3, reason="crushed in a jam")
    damage, ordered = history(stocked, NUMBER_U3).events[-2:]
    assert (damage.verb, ordered.verb) == ("damage", "reorder")
    assert isinstance(damage.before, dict)
    assert damage.before["condition"] == "fitted"
    assert isinstance(damage.after, dict)
    assert damage.after["reason"] == "crushed in a jam"
