"""Search: names of now and then, aliases, containers that a kit serves, changes of the records, marks and evidence."""

from __future__ import annotations

import contextlib

import pytest
from sqlalchemy import text

from schemas.aliases import AliasRequest
from schemas.machines import MoveRequest, RenameRequest
from schemas.requests import CorrectionRequest, ReorderRequest
from schemas.search import SearchAnswer, SearchCandidate, SearchRequest
from service.store.database import Database
from service.store.evidence_facts import EvidenceFacts
from service.work.aliases import add_alias
from service.work.correct import correct_kit
from service.work.move import move_machine
from service.work.outline_figures import all_measured, measure_outlines
from service.work.rename import rename_line, rename_plant
from service.work.reorder import reorder
from service.work.search import search
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U2, NUMBER_U3, NUMBER_U4, issue_small

OTHER = {
    "plant": {"code": "MRG", "name": "Marrowgate", "customer": "Pellworth Sauces"},
    "line": {"ordinal": 1},
    "machine": {"class": "LB", "ordinal": 1},
    "container": {"code": "A12", "name": "12 fl oz sauce", "nominal": 12, "unit": "fl oz"},
    "stock_colour": "blue",
}


@pytest.fixture
def shop(stocked: Workshop) -> Workshop:
    """The small kit at Ostrey Vale, and a blue one of the same parts at Marrowgate."""
    issue_small(stocked)
    issue_small(stocked, **OTHER)
    return stocked


def asked(workshop: Workshop, mark: str | None = None, *, prior: str = "uniform", **said: str) -> SearchAnswer:
    evidence = [{"question": question, "answer": answer} for question, answer in said.items()]
    request = {"mark": mark, "evidence": evidence, "prior": prior, "limit": 100}
    return search(workshop, SearchRequest.model_validate(request))


def of(answer: SearchAnswer, number: str) -> SearchCandidate:
    return next(one for one in answer.candidates if one.number == number)


def share(answer: SearchAnswer, beginning: str) -> float:
    """How likely it is a segment whose number begins so."""
    return sum(one.probability for one in answer.candidates if one.number.startswith(beginning))


def said(answer: SearchAnswer, number: str) -> dict[str, str]:
    return {one.question: one.speaks for one in of(answer, number).evidence}


def test_a_shop_without_numbers_has_no_candidates(workshop: Workshop) -> None:
    answer = asked(workshop, "OSV4", plant="Ostrey Vale")
    assert (answer.candidates, answer.left, answer.next_question) == ((), 0, None)


def test_nothing_said_leaves_all_alike_and_a_question(shop: Workshop) -> None:
    answer = asked(shop)
    assert len({one.probability for one in answer.candidates}) == 1
    assert sum(one.probability for one in answer.candidates) == pytest.approx(1, abs=1e-4)
    assert answer.consistent == len(answer.candidates)
    assert answer.next_question is not None
    assert answer.next_question == answer.questions[0]
    gains = [one.gain_bits for one in answer.questions]
    assert gains == sorted(gains, reverse=True)
    assert all(0 < gain <= answer.entropy_bits for gain in gains)
    for question in answer.questions:
        assert sum(one.share for one in question.answers) <= 1.001


def test_every_answer_narrows_and_none_rules_out(shop: Workshop) -> None:
    before = asked(shop)
    after = asked(shop, stock_colour="green", plant="Ostrey Vale", deck="upper")
    assert after.entropy_bits < before.entropy_bits
    assert share(after, "OSV4") > 0.95
    assert all(one.probability > 0 for one in after.candidates if one.number.startswith("OSV4"))
    assert "stock_colour" not in {one.question for one in after.questions}
    assert said(after, NUMBER_U3) == {"stock_colour": "for", "plant": "for", "deck": "for"}
    assert said(after, NUMBER_PLATES)["deck"] == "against"


def test_a_wrong_colour_is_outweighed(shop: Workshop) -> None:
    answer = asked(shop, "OSV4-FC1-A500-SW2-U3-42", stock_colour="blue")
    assert answer.candidates[0].number == NUMBER_U3
    assert said(answer, NUMBER_U3) == {"stock_colour": "against"}


def test_a_machine_that_moved_is_found_at_both_places(shop: Workshop) -> None:
    move_machine(
        shop, "OSV4-FC1", MoveRequest.model_validate({"line": "7", "line_name": "hall B", "since": "2024-04-02"})
    )
    now, then, never = (share(asked(shop, line=name), "OSV4") for name in ("hall B", "line 4", "line 3"))
    assert now > 0.9
    assert then > 0.8
    assert never < 0.7
    assert of(asked(shop), NUMBER_U3).line == "hall B"


def test_plants_and_lines_are_found_by_every_name_they_had(shop: Workshop) -> None:
    rename_plant(shop, "OSV", RenameRequest.model_validate({"name": "Ostrey Mill", "since": "2025-01-01"}))
    rename_line(shop, "OSV", 4, RenameRequest.model_validate({"name": "hall C", "since": "2025-01-01"}))
    for said_ in (
        {"plant": "Ostrey Vale"},
        {"plant": "ostrey mill"},
        {"plant": "osv"},
        {"line": "Hall C"},
        {"line": "4"},
    ):
        assert share(asked(shop, **said_), "OSV4") > 0.85, said_
    assert of(asked(shop), NUMBER_U3).plant == "Ostrey Mill"


@pytest.mark.parametrize(
    ("kind", "of_", "question"),
    [
        ("machine", "OSV4-FC1", "machine"),
        ("plant", "OSV", "plant"),
        ("line", "OSV4", "line"),
        ("container", "OSV-A500", "running"),
    ],
)
def test_what_people_call_a_thing_finds_it(shop: Workshop, kind: str, of_: str, question: str) -> None:
    assert share(asked(shop, **{question: "old Betty"}), "OSV4") < 0.7
    add_alias(shop, AliasRequest.model_validate({"kind": kind, "of": of_, "text": "old Betty", "source": "the crew"}))
    assert share(asked(shop, **{question: "Old betty"}), "OSV4") > 0.9


def test_an_old_mark_of_a_segment_finds_it(shop: Workshop) -> None:
    request = {"kind": "segment", "of": NUMBER_U3, "text": "GRN-STAR-77", "source": "old drawing"}
    add_alias(shop, AliasRequest.model_validate(request))
    answer = asked(shop, "grn star 7")
    assert answer.candidates[0].number == NUMBER_U3
    assert "legacy mark" in " ".join(answer.candidates[0].assumed)


def test_an_old_mark_of_a_machine_finds_its_kits(shop: Workshop) -> None:
    request = {"kind": "machine", "of": "OSV4-FC1", "text": "BETTY-1962", "source": "the crew"}
    add_alias(shop, AliasRequest.model_validate(request))
    assert share(asked(shop, "betty 196?"), "OSV4") > 0.9


def test_half_a_key_finds_its_segment(shop: Workshop) -> None:
    key = of(asked(shop), NUMBER_U3).key
    answer = asked(shop, f"{key[:6]}??")
    assert answer.candidates[0].number == NUMBER_U3
    assert answer.candidates[0].probability > 0.9


def test_half_a_number_over_the_telephone(shop: Workshop) -> None:
    """The green one on line 4 is in pieces, and the caller can read A5, something, SW."""
    answer = asked(shop, "A5, something, SW", stock_colour="the green one", line="line 4")
    assert {one.number for one in answer.candidates[:4]} >= {NUMBER_U2, NUMBER_U3, NUMBER_U4}
    assert share(answer, "OSV4-FC1-A500-SW2") > 0.9
    assert answer.consistent >= 4
    assert "tail missing" in answer.candidates[0].assumed


def test_what_cannot_be_used_is_told_and_the_rest_counts(shop: Workshop) -> None:
    answer = asked(shop, "§§", pockets="a few", deck="upper")
    assert [one.question for one in answer.ignored] == ["mark", "pockets"]
    assert all(one.reason for one in answer.ignored)
    assert said(answer, NUMBER_U3) == {"deck": "for"}


def test_the_last_answer_to_a_question_counts(shop: Workshop) -> None:
    evidence = [{"question": "stock_colour", "answer": colour} for colour in ("blue", "green")]
    answer = search(shop, SearchRequest.model_validate({"evidence": evidence, "limit": 100}))
    assert share(answer, "OSV4") > 0.8
    assert [(one.question, one.answer) for one in answer.ignored] == [("stock_colour", "blue")]


def test_who_does_not_know_is_not_asked_again(shop: Workshop) -> None:
    answer = asked(shop, stock_colour="")
    assert "stock_colour" not in {one.question for one in answer.questions}
    assert len({one.probability for one in answer.candidates}) == 1


def test_a_neighbour_speaks_for_what_locks_into_it(shop: Workshop) -> None:
    """Quarter 3 locks into 2 and 4."""
    answer = asked(shop, neighbour="OSV4-FC1-A500-SW2-U3-42")
    assert {one.number for one in answer.candidates[:2]} == {NUMBER_U2, NUMBER_U4}
    assert said(answer, NUMBER_U2) == {"neighbour": "for"}
    assert share(answer, "OSV4") > 0.9


def test_a_picture_that_was_picked_and_one_that_was_not(shop: Workshop) -> None:
    picked = asked(shop, picture=NUMBER_PLATES)
    assert of(picked, NUMBER_PLATES).probability == max(one.probability for one in picked.candidates)
    refused = asked(shop, picture=f"not {NUMBER_PLATES}, {NUMBER_U3}")
    least = min(one.probability for one in refused.candidates)
    assert of(refused, NUMBER_PLATES).probability == of(refused, NUMBER_U3).probability == least
    assert asked(shop, picture="the left one").ignored[0].question == "picture"


def test_figures_of_outlines_speak(shop: Workshop) -> None:
    """Squares of 150 mm: 212 mm from corner to corner, without pockets."""
    answer = asked(shop, overall_length_mm="212", pockets="0")
    found = of(answer, NUMBER_U3)
    assert {one.question: (one.recorded, one.speaks) for one in found.evidence}["overall_length_mm"][0] == "212 mm"


def test_outlines_of_before_are_measured_later(shop: Workshop) -> None:
    with shop.database.write() as connection:
        connection.execute(text("DELETE FROM outline_figures"))
    fresh = EvidenceFacts(shop.database)
    object.__setattr__(shop, "evidence", fresh)
    silent = asked(shop, overall_length_mm="212")
    assert said(silent, NUMBER_U3) == {"overall_length_mm": "silent"}
    assert of(silent, NUMBER_U3).evidence[0].recorded is None
    unmeasured = asked(shop, stock_colour="green")
    assert not {"overall_length_mm", "pockets"} & {one.question for one in unmeasured.questions}
    assert not all_measured(shop)
    assert measure_outlines(shop) > 0
    assert all_measured(shop)
    assert measure_outlines(shop) == 0
    assert of(asked(shop, overall_length_mm="212"), NUMBER_U3).evidence[0].recorded == "212 mm"


def test_changes_of_another_process_are_seen(shop: Workshop, database: Database) -> None:
    """Another process has a picture of its own; here a second one over the same database."""
    with contextlib.closing(Database(database.url.render_as_string(hide_password=False))) as other:
        elsewhere = EvidenceFacts(other)
        before = elsewhere.current()
        assert elsewhere.current() is before
        third = {**OTHER, "machine": {"class": "LB", "ordinal": 2}}
        issue_small(shop, **third)
        assert len(elsewhere.current()) == len(before) + len(before) // 2
        correction = {"reason": "typed wrong", "correct": [{"number": NUMBER_PLATES, "facts": {"thickness_mm": 33.0}}]}
        correct_kit(shop, "OSV4-FC1-A500", CorrectionRequest.model_validate(correction), seen=None)
        now = elsewhere.current()
        at = now.index_of(_id_of(shop, NUMBER_PLATES))
        assert at is not None
        assert str(now.fact("thickness_mm", at)).startswith("Thickness(nominal_mm=33.0")
        assert len(now) == len(before) + len(before) // 2


def _id_of(workshop: Workshop, number: str) -> int:
    with workshop.database.read() as connection:
        return int(connection.execute(text("SELECT id FROM segment WHERE number = :n"), {"n": number}).scalar_one())


def test_what_was_printed_or_ordered_is_no_reason_to_read_again(shop: Workshop) -> None:
    before = shop.evidence.current()
    reorder(shop, ReorderRequest.model_validate({"mark": NUMBER_U3, "reason": "crushed"}))
    assert shop.evidence.current() is before


def test_what_broke_more_often_counts_as_likelier_when_asked_for(shop: Workshop) -> None:
    for count in range(3):
        request = {"mark": NUMBER_U3, "reason": "crushed", "also": "one more broke" if count else None}
        reorder(shop, ReorderRequest.model_validate(request))
    plain, broke = asked(shop), asked(shop, prior="breakages")
    assert plain.candidates[0].probability == plain.candidates[-1].probability
    assert broke.candidates[0].number == NUMBER_U3
    assert broke.candidates[0].probability < 0.7
    assert broke.prior == "breakages"


def test_places_that_were_given_up_are_told_and_unlikely(shop: Workshop) -> None:
    correction = {"reason": "cut in two", "void": [{"number": NUMBER_U4}]}
    correct_kit(shop, "OSV4-FC1-A500", CorrectionRequest.model_validate(correction), seen=None)
    answer = asked(shop)
    assert of(answer, NUMBER_U4).status == "voided"
    assert of(answer, NUMBER_U4).probability < 0.1 * of(answer, NUMBER_U3).probability
    assert asked(shop, NUMBER_U4).candidates[0].number == NUMBER_U4
