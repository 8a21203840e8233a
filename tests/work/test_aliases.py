"""Legacy marks beside the numbers: put on record, read, looked for, marked wrong; on both kinds of database."""

from __future__ import annotations

import pytest

from schemas.aliases import AliasRequest, AliasWrongRequest
from schemas.answers import KitAnswer
from schemas.answers.aliases import AliasAnswer
from service.errors import (
    AliasUnknown,
    AmbiguousMark,
    BadCharacter,
    BadRequest,
    ContainerUnknown,
    Contradiction,
    KitwrightError,
    MachineUnknown,
    MarkUnknown,
    PlaceUnknown,
)
from service.rules.legacy_marks import folded
from service.store.aliases import NewAlias, add_aliases
from service.store.ledger import verify
from service.work.alias_subjects import subject_of
from service.work.aliases import add_alias, list_aliases, mark_alias_wrong
from service.work.history import history
from service.work.once import Retry
from service.work.read import read_mark
from service.work.resolve import resolve_mark
from service.work.workshop import Actor, Workshop
from tests.factories import make_container, make_plant
from tests.small_kit import NUMBER_U3, NUMBER_U4

pytestmark = pytest.mark.usefixtures("issued")


def call(workshop: Workshop, text: str, *, of: str = NUMBER_U3, kind: str = "segment", **more: str) -> AliasAnswer:
    request = AliasRequest.model_validate({"kind": kind, "of": of, "text": text, **more})
    return add_alias(workshop, request, actor=Actor("fitter"))


@pytest.mark.parametrize("typed", ["PO 4711/3", "po4711-3", "  P.O. #4711 3 ", "ＰＯ４７１１３", "]C0PO 4711/3"])
def test_a_mark_that_names_one_segment_is_that_segment_however_it_is_written(workshop: Workshop, typed: str) -> None:
    call(workshop, "PO 4711/3", source="purchase order of 1998")
    said = read_mark(workshop, typed)
    assert (said.outcome, said.number, said.repairs) == ("repaired", NUMBER_U3, ())
    assert said.note == f"Legacy mark 'PO 4711/3' of {NUMBER_U3}"
    assert resolve_mark(workshop, typed).number == NUMBER_U3


def test_a_sign_that_no_number_holds_is_refused_only_where_nothing_is_called_so(workshop: Workshop) -> None:
    with pytest.raises(BadCharacter):
        read_mark(workshop, '12" Größe')
    call(workshop, '12" Größe')
    assert read_mark(workshop, '12" GRÖSSE').number == NUMBER_U3
    with pytest.raises(BadCharacter):
        read_mark(workshop, '13" Größe')


def test_what_two_segments_are_called_is_offered_and_not_picked(workshop: Workshop) -> None:
    call(workshop, "upper left", source="on the part")
    call(workshop, "Upper-Left", of=NUMBER_U4)
    said = read_mark(workshop, "UPPER LEFT")
    assert (said.outcome, said.number) == ("candidates", None)
    assert [one.number for one in said.candidates] == [NUMBER_U3, NUMBER_U4]
    assert said.candidates[0].assumed == ("the legacy mark 'upper left' of this segment is meant (on the part)",)
    with pytest.raises(AmbiguousMark) as caught:
        resolve_mark(workshop, "upper left")
    assert list(caught.value.candidates) == [NUMBER_U3, NUMBER_U4]


def test_a_mark_that_also_reads_as_a_number_is_never_picked_silently(workshop: Workshop) -> None:
    typed = "0sv4 fc1 a5oo 5w2 u3 42"
    assert read_mark(workshop, typed).outcome == "repaired"
    call(workshop, typed, of=NUMBER_U4)
    said = read_mark(workshop, typed)
    assert said.outcome == "candidates"
    assert [one.number for one in said.candidates] == [NUMBER_U3, NUMBER_U4]
    assert said.candidates[0].repairs
    # Of the segment that it reads as anyway it says nothing new.
    call(workshop, "0SV4-FC1-A500-SW2-U4-39", of=NUMBER_U4)
    assert read_mark(workshop, "0SV4-FC1-A500-SW2-U4-39").repairs


def test_a_mark_beside_repairs_that_are_only_offered_comes_first(workshop: Workshop) -> None:
    swapped = "OSV4-FC1-A500-SW2-U3-24"
    assert read_mark(workshop, swapped).outcome == "candidates"
    call(workshop, swapped, of=NUMBER_U4)
    said = read_mark(workshop, swapped)
    assert [one.number for one in said.candidates][:2] == [NUMBER_U4, NUMBER_U3]


def test_a_key_that_was_given_after_a_thing_was_called_so_is_offered_beside_it(
    workshop: Workshop, issued: KitAnswer
) -> None:
    (other,) = [row for row in issued.segments if row.number == NUMBER_U4]
    assert other.key is not None
    for text in (other.key.lower(), f"{other.key[:4]}.{other.key[4:]}"):
        with pytest.raises(BadRequest, match="which this shop gave itself"):
            call(workshop, text)
    with workshop.database.write() as connection:
        subject = subject_of(connection, "segment", NUMBER_U3)
        earlier = NewAlias(
            kind="segment",
            subject_id=subject.id,
            text=other.key,
            folded=folded(other.key),
            source="",
            note="",
        )
        add_aliases(connection, [(earlier, 1)], by="fitter", at="2020-01-01T00:00:00Z")
    said = read_mark(workshop, other.key)
    assert said.outcome == "candidates"
    assert [(one.number, one.key) for one in said.candidates] == [(NUMBER_U4, other.key), (NUMBER_U3, None)]


@pytest.mark.parametrize(
    ("kind", "of", "designation"),
    [
        ("kit", "osv4-fc1-a500", "OSV4-FC1-A500"),
        ("machine", "osv4-fc1", "OSV4-FC1"),
        ("line", "osv4", "OSV4"),
        ("plant", "osv", "OSV"),
        ("container", "a500", "OSV-A500"),
        ("container", "OSV-A500", "OSV-A500"),
    ],
)
def test_what_is_no_segment_is_a_candidate_by_its_groups(
    workshop: Workshop, kind: str, of: str, designation: str
) -> None:
    made = call(workshop, "old Betty!", of=of, kind=kind)
    assert (made.kind, made.of) == (kind, designation)
    said = read_mark(workshop, "Old Betty")
    assert (said.outcome, said.number) == ("candidates", None)
    (one,) = said.candidates
    assert (one.part, one.number, one.key) == (designation, None, None)
    assert f"of this {kind} is meant" in one.assumed[0]
    assert [row.text for row in list_aliases(workshop, of=designation).aliases] == ["old Betty!"]
    with pytest.raises(AmbiguousMark, match="which is no segment"):
        resolve_mark(workshop, "old betty")


@pytest.mark.parametrize(
    ("kind", "of", "error"),
    [
        ("segment", "OSV9-FC1-A500-SW2-U3-17", MarkUnknown),
        ("machine", "OSV4-FC9", MachineUnknown),
        ("line", "OSV9", PlaceUnknown),
        ("line", "XYZ4", PlaceUnknown),
        ("plant", "XYZ", PlaceUnknown),
        ("container", "A501", ContainerUnknown),
        ("container", "XYZ-A500", ContainerUnknown),
    ],
)
def test_what_is_not_on_record_gets_no_mark(
    workshop: Workshop, kind: str, of: str, error: type[KitwrightError]
) -> None:
    with pytest.raises(error):
        call(workshop, "old Betty", of=of, kind=kind)
    assert list_aliases(workshop).aliases == ()


def test_a_container_that_two_customers_have_is_named_with_a_plant(workshop: Workshop) -> None:
    with workshop.database.write() as connection:
        other = make_plant(connection, code="MRG", name="Marrowgate", customer="Pellworth Sauces")
        make_container(connection, customer_id=other.customer_id)
    with pytest.raises(BadRequest) as caught:
        call(workshop, "the tall one", of="A500", kind="container")
    assert caught.value.todo == "Write OSV-A500 or MRG-A500"
    assert call(workshop, "the tall one", of="mrg a500", kind="container").of == "MRG-A500"


@pytest.mark.parametrize("text", ["###", " - ", "…"])
def test_a_mark_that_nobody_could_look_for_is_refused(workshop: Workshop, text: str) -> None:
    with pytest.raises(BadRequest, match="neither a letter nor a digit"):
        call(workshop, text)


@pytest.mark.parametrize("text", [NUMBER_U4, "osv4fc1a500sw2u439"])
def test_a_number_of_this_shop_is_no_legacy_mark(workshop: Workshop, text: str) -> None:
    with pytest.raises(BadRequest, match="which this shop gave itself"):
        call(workshop, text)


def test_the_same_of_the_same_thing_is_said_once_and_again_after_it_was_marked_wrong(workshop: Workshop) -> None:
    made = call(workshop, "old Betty", of="OSV4-FC1", kind="machine")
    with pytest.raises(Contradiction, match="called so already"):
        call(workshop, "OLD BETTY", of="OSV4-FC1", kind="machine")
    wrong = mark_alias_wrong(workshop, made.id, AliasWrongRequest(reason="Betty is the next one"), actor=Actor("lead"))
    assert (wrong.wrong_reason, wrong.wrong_by) == ("Betty is the next one", "lead")
    assert read_mark(workshop, "old Betty").outcome == "unknown"
    with pytest.raises(Contradiction, match="marked wrong on"):
        mark_alias_wrong(workshop, made.id, AliasWrongRequest(reason="once more"))
    again = call(workshop, "Old Betty", of="OSV4-FC1", kind="machine")
    assert again.id > made.id
    assert read_mark(workshop, "old Betty").candidates
    assert [row.wrong_reason for row in list_aliases(workshop, of="OSV4-FC1").aliases] == [
        "Betty is the next one",
        None,
    ]
    with pytest.raises(AliasUnknown):
        mark_alias_wrong(workshop, 99, AliasWrongRequest(reason="no such"))


def test_every_step_is_in_the_ledger_with_who_and_what(workshop: Workshop) -> None:
    made = call(workshop, "PO 4711/3", source="purchase order", note="line 3")
    mark_alias_wrong(workshop, made.id, AliasWrongRequest(reason="line 4 it was"))
    said = history(workshop, NUMBER_U3).events[-2:]
    assert [(one.verb, one.actor) for one in said] == [("alias", "fitter"), ("alias wrong", "service")]
    assert said[0].after == {
        "id": made.id, "kind": "segment", "note": "line 3", "source": "purchase order", "text": "PO 4711/3",
    }  # fmt: skip
    assert said[1].after == {"id": made.id, "reason": "line 4 it was", "text": "PO 4711/3"}
    with workshop.database.read() as connection:
        assert verify(connection).whole


def test_a_retry_gets_the_first_answer(workshop: Workshop) -> None:
    request = AliasRequest(kind="kit", of="OSV4-FC1-A500", text="the green one")
    retry = Retry.of("once", "POST /api/aliases", b"{}")
    first = add_alias(workshop, request, retry=retry)
    assert add_alias(workshop, request, retry=retry) == first


def test_a_part_of_a_mark_finds_it_and_pages_follow_each_other(workshop: Workshop) -> None:
    for number in range(7):
        call(workshop, f"drawing 88-{number}")
    call(workshop, "100% PE_2", of=NUMBER_U4)
    assert len(list_aliases(workshop, text="WING-8").aliases) == 7
    first = list_aliases(workshop, text="drawing 88", limit=4).aliases
    rest = list_aliases(workshop, text="drawing 88", after=first[-1].id, limit=4).aliases
    assert [row.text for row in (*first, *rest)] == [f"drawing 88-{number}" for number in range(7)]
    assert [row.of for row in list_aliases(workshop, text="0% PE").aliases] == [NUMBER_U4]
    assert list_aliases(workshop, text="drawing", kind="kit").aliases == ()
    assert len(list_aliases(workshop, kind="segment").aliases) == 8
    # Signs that mean something to a database are punctuation here.
    for text in ("%", "_", "'"):
        with pytest.raises(BadRequest):
            list_aliases(workshop, text=text)


def test_a_segment_says_what_it_is_called(workshop: Workshop) -> None:
    call(workshop, "PO 4711/3")
    call(workshop, "other", of=NUMBER_U4)
    assert [one.text for one in resolve_mark(workshop, NUMBER_U3).aliases] == ["PO 4711/3"]
