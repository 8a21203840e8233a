"""A kit is made again: own pieces and keys, every joint locks, and each set is mended by itself."""

from __future__ import annotations

from datetime import date

import pypdfium2
import pytest
import zxingcpp

from schemas.answers import KitAnswer, ReorderAnswer
from schemas.pieces import ScrapRequest, SetAnswer, SetRequest
from schemas.requests import CorrectionRequest, FittedRequest, ReorderRequest
from service.errors import BadRequest, KitUnknown, LintFailed, SetUnknown
from service.work.correct import correct_kit
from service.work.engrave import engrave_kit
from service.work.fit import fit_reorder
from service.work.history import history
from service.work.make_set import make_set, prepare_set
from service.work.once import Retry
from service.work.packet import work_sheet
from service.work.print_marks import print_kit
from service.work.reorder import reorder
from service.work.resolve import resolve_mark
from service.work.scrap import scrap_piece
from service.work.sets import list_sets
from service.work.show_kit import show_kit
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U2, NUMBER_U3, NUMBER_U4, file_of, release

KIT = "OSV4-FC1-A500"


def again(workshop: Workshop, **fields: object) -> SetAnswer:
    return make_set(workshop, KIT, SetRequest.model_validate(fields))


def order(workshop: Workshop, mark: str, **more: object) -> ReorderAnswer:
    return reorder(workshop, ReorderRequest.model_validate({"mark": mark, "reason": "crushed", **more}))


def key_in(workshop: Workshop, number: str, set_number: int) -> str:
    (key,) = [piece.key for piece in resolve_mark(workshop, number).pieces if piece.set == set_number and piece.key]
    return key


def stronger_joint(workshop: Workshop) -> None:
    """Revision A of quarters 3 and 4 carries another joint between them."""
    release(workshop, "SW2-U3", revision="A", joints_changed="SW2-U4")
    release(workshop, "SW2-U4", revision="A", joints_changed="SW2-U3")


def test_the_second_set_has_the_same_numbers_and_its_own_keys(stocked: Workshop, issued: KitAnswer) -> None:
    made = again(stocked, material_batch="PE-2207", made_at="2026-03-02")
    assert (made.set, made.status, made.made_at) == (2, "made", "2026-03-02")
    assert [row.number for row in made.segments] == [row.number for row in show_kit(stocked, KIT).segments]
    keys = [key for row in made.segments for key in row.keys]
    assert len(set(keys)) == 5
    assert not set(keys) & {piece.key for row in issued.segments for piece in row.pieces}
    pieces = resolve_mark(stocked, NUMBER_U3).pieces
    assert [(piece.set, piece.condition, piece.material_batch) for piece in pieces] == [
        (1, "fitted", None),
        (2, "fitted", "PE-2207"),
    ]
    assert [(piece.set, piece.count, piece.key) for piece in resolve_mark(stocked, NUMBER_PLATES).pieces] == [
        (1, 40, None),
        (2, 40, None),
    ]
    assert show_kit(stocked, KIT).sets == (1, 2)
    assert again(stocked).set == 3


def test_the_newest_revision_is_taken_and_shown_and_others_may_be_named(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "OR1-L1", revision="A")
    assert {row.place: row.revision for row in again(stocked).segments}["OR1-L1"] == "A"
    named = again(stocked, revisions={"or1l1": "-"})
    assert {row.place: row.revision for row in named.segments}["OR1-L1"] == "-"
    number = next(row.number for row in issued.segments if row.place == "OR1-L1")
    assert {row.number: row.revision for row in again(stocked, revisions={number: "-"}).segments}[number] == "-"


def test_a_joint_that_does_not_lock_is_named_and_nothing_is_made(stocked: Workshop, issued: KitAnswer) -> None:
    release(stocked, "SW2-U3", revision="A", joints_changed="SW2-U4")
    with pytest.raises(LintFailed) as caught:
        again(stocked)
    (finding,) = [finding for finding in caught.value.findings if finding.level == "error"]
    assert finding.rule == "joint_does_not_lock"
    assert finding.place == "SW2-U3 and SW2-U4"
    assert "SW2-U3 - with SW2-U4 -" in finding.todo
    assert show_kit(stocked, KIT).sets == (1,)
    assert prepare_set(stocked, KIT, SetRequest()).status == "refused"
    assert again(stocked, revisions={"SW2-U3": "-"}).set == 2
    # Once the other side has caught up the newest of both lock.
    release(stocked, "SW2-U4", revision="A", joints_changed="SW2-U3")
    assert again(stocked).set == 3


def test_preparing_shows_the_set_and_makes_nothing(stocked: Workshop, issued: KitAnswer) -> None:
    prepared = prepare_set(stocked, KIT, SetRequest())
    assert (prepared.status, prepared.set, {row.keys for row in prepared.segments}) == ("prepared", 2, {()})
    assert show_kit(stocked, KIT).sets == (1,)


@pytest.mark.parametrize(
    ("revisions", "rule"),
    [
        ({"SW2-U3": "Q"}, "revision_unknown"),
        ({"SW2-U9": "-"}, "place_not_in_kit"),
        ({"nothing": "-"}, "place_not_in_kit"),
        ({"SW2-U3": "-", NUMBER_U3: "A"}, "revision_twice"),
        ({"OR1-L1": "-"}, "revision_withdrawn"),
    ],
)
def test_what_cannot_be_cut_is_said(stocked: Workshop, issued: KitAnswer, revisions: dict[str, str], rule: str) -> None:
    release(stocked, "OR1-L1", revision="A")
    withdraw_revision(stocked, file_of("OR1-L1"), "-", "wrong bore")
    with pytest.raises(LintFailed) as caught:
        again(stocked, revisions=revisions)
    assert rule in {finding.rule for finding in caught.value.findings}


def test_a_file_whose_every_revision_is_withdrawn_stops_the_set(stocked: Workshop, issued: KitAnswer) -> None:
    withdraw_revision(stocked, file_of("OR1-L1"), "-", "wrong bore")
    with pytest.raises(LintFailed) as caught:
        again(stocked)
    assert [finding.rule for finding in caught.value.findings] == ["revision_withdrawn"]


def test_a_set_of_tomorrow_or_of_no_kit_is_refused(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(BadRequest, match="still to come"):
        again(stocked, made_at=date(2199, 1, 1))
    with pytest.raises(KitUnknown):
        make_set(stocked, "OSV4-FC1-C500", SetRequest())


def test_a_repeated_request_makes_one_set(stocked: Workshop, issued: KitAnswer) -> None:
    retry = Retry.of("once", f"POST /api/kits/{KIT}/sets", b"{}")
    first = make_set(stocked, KIT, SetRequest(), retry=retry)
    assert make_set(stocked, KIT, SetRequest(), retry=retry) == first
    assert show_kit(stocked, KIT).sets == (1, 2)
    (event,) = [event for event in history(stocked, KIT).events if event.verb == "make set"]
    assert event.before == {"sets": [1]}
    assert isinstance(event.after, dict)
    assert event.after["set"] == 2


def test_plates_and_engraving_of_one_set(stocked: Workshop, issued: KitAnswer) -> None:
    again(stocked)
    second = {piece.key for row in show_kit(stocked, KIT).segments for piece in row.pieces if piece.set == 2}
    plates = keys_on(print_kit(stocked, KIT, set_number=2, dpi=300))
    every = keys_on(print_kit(stocked, KIT, dpi=300))
    segment_key = resolve_mark(stocked, NUMBER_PLATES).key
    assert plates == second | {segment_key}
    assert plates < every
    assert engrave_kit(stocked, KIT, set_number=2) != engrave_kit(stocked, KIT)
    with pytest.raises(SetUnknown):
        print_kit(stocked, KIT, set_number=3)


def keys_on(data: bytes) -> set[str]:
    """The keys in the links of a printed file, found by an independent decoder."""
    pages = pypdfium2.PdfDocument(data)
    texts = {
        found.bytes.decode() for page in pages for found in zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil())
    }
    return {text.rpartition("/S/")[2] for text in texts if "/S/" in text}


def test_the_broken_piece_of_set_2_is_decided_by_the_neighbours_of_set_2(stocked: Workshop, issued: KitAnswer) -> None:
    stronger_joint(stocked)
    again(stocked)
    answer = order(stocked, key_in(stocked, NUMBER_U3, 2))
    assert (answer.outcome, answer.cut and answer.cut.revision, answer.set) == ("exact", "A", 2)
    assert not any("look at that joint" in reason for reason in answer.reasons)
    # Asking for the newest in set 1 takes the neighbour of set 1 along, whatever set 2 is built to.
    other = order(stocked, key_in(stocked, NUMBER_U3, 1), prefer="newest")
    assert [(also.number, also.revision) for also in other.also_cut] == [(NUMBER_U4, "A")]
    assert work_sheet(stocked, answer.id).startswith(b"%PDF")


def test_fitting_takes_out_the_piece_of_that_set_only(stocked: Workshop, issued: KitAnswer) -> None:
    again(stocked)
    fit_reorder(stocked, order(stocked, key_in(stocked, NUMBER_U3, 2)).id, FittedRequest())
    pieces = resolve_mark(stocked, NUMBER_U3).pieces
    assert [(piece.set, piece.condition, piece.end) for piece in pieces] == [
        (1, "fitted", None),
        (2, "scrapped", "replaced"),
        (2, "fitted", None),
    ]
    assert (pieces[1].end_note, pieces[1].replaced_in) == ("crushed", 1)


def test_of_sets_that_differ_the_key_or_the_set_is_asked_for(stocked: Workshop, issued: KitAnswer) -> None:
    stronger_joint(stocked)
    again(stocked)
    asked = order(stocked, NUMBER_U3)
    assert (asked.outcome, asked.key) == ("no_record", None)
    named = order(stocked, NUMBER_U3, set=2)
    assert (named.outcome, named.cut and named.cut.revision, named.set) == ("exact", "A", 2)
    with pytest.raises(SetUnknown):
        order(stocked, NUMBER_U3, set=5)
    with pytest.raises(BadRequest, match="belongs to set 1"):
        order(stocked, key_in(stocked, NUMBER_U3, 1), set=2)


def test_of_like_sets_the_assumption_is_said(stocked: Workshop, issued: KitAnswer) -> None:
    again(stocked)
    answer = order(stocked, NUMBER_U3)
    assert answer.set == 1
    assert any("set 1 is assumed" in reason for reason in answer.reasons)


def test_a_number_alone_means_the_set_that_lacks_the_piece(stocked: Workshop, issued: KitAnswer) -> None:
    stronger_joint(stocked)
    again(stocked)
    scrap_piece(stocked, key_in(stocked, NUMBER_U3, 2), ScrapRequest(kind="broken"))
    answer = order(stocked, NUMBER_U3)
    assert (answer.outcome, answer.cut and answer.cut.revision, answer.set) == ("exact", "A", 2)
    fit_reorder(stocked, answer.id, FittedRequest())
    fitted = [piece for piece in resolve_mark(stocked, NUMBER_U3).pieces if piece.condition == "fitted"]
    assert [(piece.set, piece.revision) for piece in fitted] == [(1, "-"), (2, "A")]


def test_each_neighbour_is_shown_as_its_set_is_built(stocked: Workshop, issued: KitAnswer) -> None:
    stronger_joint(stocked)
    again(stocked)
    by_number = {other.number: other for other in resolve_mark(stocked, NUMBER_U3).neighbours}
    assert (by_number[NUMBER_U4].as_built, by_number[NUMBER_U4].locks) == (None, True)
    assert (by_number[NUMBER_U2].as_built, by_number[NUMBER_U2].locks) == ("-", True)
    of_set = {other.number: other for other in resolve_mark(stocked, key_in(stocked, NUMBER_U3, 2)).neighbours}
    assert (of_set[NUMBER_U4].as_built, of_set[NUMBER_U4].locks) == ("A", True)


def test_how_the_sets_stand(stocked: Workshop, issued: KitAnswer) -> None:
    again(stocked)
    scrap_piece(stocked, key_in(stocked, NUMBER_U3, 2), ScrapRequest(kind="lost"))
    first, second = list_sets(stocked, KIT).sets
    assert (first.fitted, first.scrapped, first.missing, first.ordered) == (45, 0, 0, 0)
    assert (second.fitted, second.scrapped, second.missing, second.ordered) == (44, 1, 1, 0)
    order(stocked, NUMBER_U3)
    assert (list_sets(stocked, KIT).sets[1].missing, list_sets(stocked, KIT).sets[1].ordered) == (0, 1)


def test_what_takes_a_place_is_made_for_every_set(stocked: Workshop, issued: KitAnswer) -> None:
    again(stocked)
    body = {"deck": "L", "cut_file": file_of("OR1-L1"), "material": "UHMW-PE", "thickness_mm": 25.0}
    number = next(row.number for row in issued.segments if row.place == "OR1-L1")
    correction = {"reason": "cut up differently", "void": [{"number": number, "replacements": [body]}]}
    kit = correct_kit(stocked, KIT, CorrectionRequest.model_validate(correction))
    new = next(row for row in kit.segments if row.place == "OR1-L2")
    assert [piece.set for piece in new.pieces] == [1, 2]
    ends = [(piece.end, piece.end_note) for piece in resolve_mark(stocked, number).pieces]
    assert ends == [("voided", "cut up differently")] * 2
