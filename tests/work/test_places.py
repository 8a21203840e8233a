"""Machines move and places are renamed: a number says where its machine is now, and old answers still hold."""

from __future__ import annotations

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from sqlalchemy import text

from schemas.answers import KitAnswer
from schemas.machines import MoveRequest, RenameRequest
from schemas.manifest_reading import read_manifest
from service.errors import (
    BadNumber,
    BadRequest,
    Contradiction,
    IdempotencyMismatch,
    LintFailed,
    MachineUnknown,
    PlaceUnknown,
    TokenStale,
)
from service.work.history import history
from service.work.issue import issue_kit
from service.work.move import move_machine
from service.work.once import Retry
from service.work.prepare import prepare_kit
from service.work.print_marks import print_kit
from service.work.rename import line_names, plant_names, rename_line, rename_plant
from service.work.resolve import resolve_mark
from service.work.show_kit import list_kits, show_kit
from service.work.where import list_machines, show_machine
from service.work.workshop import Workshop
from tests.factories import make_plant
from tests.small_kit import NUMBER_U3, as_bytes, issue_small, manifest, segment

FC1 = "OSV4-FC1"


def moved(workshop: Workshop, line: int | str | None, since: str, **more: str) -> None:
    """The small kit's machine moved to a line."""
    move_machine(workshop, FC1, MoveRequest.model_validate({"line": line, "since": since, **more}))


def standing(workshop: Workshop, plant: str | None, line: str | None, on: str | None = None) -> list[str]:
    """Which machines stood in a place."""
    return [row.designation for row in list_machines(workshop, plant=plant, line=line, on=on).machines]


def another(**machine: object) -> bytes:
    """A small kit for another machine of line 4, cut from files that are on record."""
    return as_bytes(
        manifest(
            segments={"SW2": [segment("SW2-U3")]},
            machine={"class": "FC", **machine},
            container={"code": "A500"},
        )
    )


def rules(answer: KitAnswer) -> list[str]:
    """The codes of the findings."""
    return [finding.code for finding in answer.findings]


def test_both_the_old_place_and_the_new_find_the_machine_each_in_its_time(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    assert standing(stocked, "OSV", "4", "2026-02-15T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "7", "2026-04-15T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "4", "2026-04-15T00:00:00Z") == []
    assert standing(stocked, "OSV", "7", "2026-02-15T00:00:00Z") == []
    assert standing(stocked, "OSV", "7") == [FC1]
    (row,) = list_machines(stocked, plant="OSV", line="4", on="2026-02-15T00:00:00Z").machines
    assert row.kits == (issued.number,)
    assert row.stands_on is not None
    assert (row.stands_on.line, row.born_on.line) == ("line 7", "line 4")


def test_the_number_stays_and_says_where_the_machine_is_now_and_was_born(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    kit, part = show_kit(stocked, issued.number), resolve_mark(stocked, NUMBER_U3)
    assert (kit.line, kit.line_now) == ("line 4", "line 7")
    assert (part.number, part.machine.born_on, part.machine.now_on) == (NUMBER_U3, "line 4", "line 7")
    assert [row.number for row in kit.segments] == [row.number for row in issued.segments]
    moved(stocked, None, "2026-06-01T00:00:00Z")
    assert show_kit(stocked, issued.number).line_now is None
    (summary,) = list_kits(stocked, after=None, limit=5).kits
    assert (summary.line_now, summary.plant) == (None, "Ostrey Vale")


def test_in_another_plant_the_answer_and_the_plates_name_that_plant(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 2, "2026-03-15T00:00:00Z", plant="VRN", plant_name="Vernholt")
    kit = show_kit(stocked, issued.number)
    assert (kit.plant, kit.line, kit.line_now) == ("Ostrey Vale", "line 4", "line 2, Vernholt")
    assert list_kits(stocked, after=None, limit=5).kits[0].plant == "Vernholt"
    assert standing(stocked, "vernholt", "2") == [FC1]
    assert print_kit(stocked, issued.number).startswith(b"%PDF")


def test_a_plant_of_another_customer_is_refused(stocked: Workshop, issued: KitAnswer) -> None:
    with stocked.database.write() as connection:
        make_plant(connection, code="MRG", name="Marrowgate", customer="Pellworth Sauces")
    with pytest.raises(Contradiction, match="Pellworth Sauces"):
        moved(stocked, 1, "2026-03-15T00:00:00Z", plant="MRG")
    assert show_kit(stocked, issued.number).line_now == "line 4"


@pytest.mark.parametrize(
    ("request_", "error"),
    [
        ({"line": 4, "since": "2026-03-15T00:00:00Z"}, Contradiction),
        ({"line": 7, "since": "2999-01-01T00:00:00Z"}, BadRequest),
        ({"line": "the old hall", "since": "2026-03-15"}, PlaceUnknown),
        ({"line": 1, "plant": "XYW"}, PlaceUnknown),
        ({"line": 4, "line_name": "hall 3"}, Contradiction),
        ({"line": 7, "plant_name": "Elsewhere"}, Contradiction),
    ],
)
def test_a_move_that_cannot_be_is_refused_and_changes_nothing(
    stocked: Workshop, issued: KitAnswer, request_: dict[str, object], error: type[Exception]
) -> None:
    before = show_machine(stocked, FC1)
    with pytest.raises(error):
        move_machine(stocked, FC1, MoveRequest.model_validate(request_))
    after = show_machine(stocked, FC1)
    assert (after.placements, after.kits) == (before.placements, (issued.number,))
    assert [event.verb for event in history(stocked, FC1).events] == []


@pytest.mark.parametrize("line", ["0", 0, 100, "", "   ", "000", True, 4.5, ["4"]])
def test_what_is_no_line_is_no_request(line: object) -> None:
    with pytest.raises(ValidationError):
        MoveRequest.model_validate({"line": line})


@pytest.mark.parametrize("since", ["yesterday", "2026-02-30", "15.03.2026", "0001-01-01", 20260315, "2026-13-01T00:00"])
def test_what_is_no_time_is_no_request(since: object) -> None:
    with pytest.raises(ValidationError):
        MoveRequest.model_validate({"line": 7, "since": since})


def test_a_time_with_an_offset_is_kept_in_utc() -> None:
    assert MoveRequest.model_validate({"line": 7, "since": "2026-03-15T01:30:00+02:00"}).since == "2026-03-14T23:30:00Z"
    assert MoveRequest.model_validate({"line": 7, "since": "2026-03-15"}).since == "2026-03-15T00:00:00Z"


def test_a_machine_that_is_not_on_record_is_named(stocked: Workshop) -> None:
    issue_small(stocked)
    with pytest.raises(MachineUnknown):
        show_machine(stocked, "OSV4-FC9")
    with pytest.raises(BadNumber):
        show_machine(stocked, "FC1")
    assert show_machine(stocked, " osv4-fc1 ").designation == FC1


def test_a_move_is_an_event_with_what_stood_before_and_after(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z", note="new hall")
    (event,) = history(stocked, FC1).events
    assert event.verb == "move"
    before, after = event.before, event.after
    assert isinstance(before, dict)
    assert isinstance(after, dict)
    assert [stay["place"]["line"] for stay in before["placements"]] == ["line 4"]
    assert [stay["place"]["line"] for stay in after["placements"]] == ["line 4", "line 7"]
    assert after["note"] == "new hall"
    assert issued.number in show_machine(stocked, FC1).kits


def test_a_move_sent_twice_is_recorded_once(stocked: Workshop, issued: KitAnswer) -> None:
    asked = MoveRequest.model_validate({"line": 7, "since": "2026-03-15"})
    retry = Retry.of("move-1", "POST /api/machines", b"seven")
    first = move_machine(stocked, FC1, asked, retry=retry)
    assert move_machine(stocked, FC1, asked, retry=retry) == first
    with pytest.raises(IdempotencyMismatch):
        move_machine(stocked, FC1, asked, retry=Retry.of("move-1", "POST /api/machines", b"eight"))
    assert len(history(stocked, FC1).events) == 1
    assert issued.number in first.kits


DAYS = [f"2026-{month:02d}-15T00:00:00Z" for month in range(1, 11)]


@given(moves=st.lists(st.tuples(st.sampled_from([None, 4, 5, 7]), st.sampled_from(DAYS)), max_size=5))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_in_whatever_order_moves_are_recorded_no_two_stays_overlap(
    stocked: Workshop, moves: list[tuple[int | None, str]]
) -> None:
    if not list_kits(stocked, after=None, limit=1).kits:
        issue_small(stocked)
    for line, since in moves:
        try:
            moved(stocked, line, since)
        except Contradiction:
            continue
    places = {
        line: {day: standing(stocked, "OSV", str(line), day) for day in DAYS}
        for line in (4, 5, 7)
        if _known(stocked, line)
    }
    for day in DAYS:
        assert sum(FC1 in found[day] for found in places.values()) <= 1
        stood = show_machine(stocked, FC1, on=day).stood
        assert stood is not None
        here = [line for line, found in places.items() if FC1 in found[day]]
        assert here == ([stood.place.line_ordinal] if stood.place else [])
    with stocked.database.read() as connection:
        assert connection.scalar(text("SELECT count(*) FROM placement WHERE until_at IS NULL")) == 1


def _known(workshop: Workshop, line: int) -> bool:
    try:
        line_names(workshop, "OSV", line)
    except PlaceUnknown:
        return False
    return True


def test_a_different_machine_on_the_old_line_gets_the_next_ordinal_ever_used_there(
    stocked: Workshop, issued: KitAnswer
) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    prepared = prepare_kit(stocked, read_manifest(another(new=True)))
    assert (prepared.number, rules(prepared)) == ("OSV4-FC2-A500", [])
    made = issue_kit(stocked, read_manifest(another(new=True)), token=prepared.token)
    assert made.number == "OSV4-FC2-A500"
    assert (show_machine(stocked, "OSV4-FC2").kits, issued.number) == ((made.number,), "OSV4-FC1-A500")
    # Nobody said since when it stands there: not before it came on record, since another stood there before.
    assert standing(stocked, "OSV", "4", "2026-02-15T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "4") == ["OSV4-FC2"]


def test_a_machine_that_moved_in_takes_no_ordinal_of_its_new_line(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    data = as_bytes(
        manifest(
            segments={"SW2": [segment("SW2-U3")]}, line={"ordinal": 7}, machine={"class": "FC", "new": True},
            container={"code": "A500"},
        )
    )  # fmt: skip
    assert prepare_kit(stocked, read_manifest(data)).number == "OSV7-FC1-A500"
    assert issued.number == "OSV4-FC1-A500"


def test_an_ordinal_that_skips_is_pointed_out_with_the_right_one(stocked: Workshop, issued: KitAnswer) -> None:
    answer = prepare_kit(stocked, read_manifest(another(ordinal=5)))
    (finding,) = [one for one in answer.findings if one.code == "machine_ordinal_skips"]
    assert (finding.level, finding.field) == ("warning", "machine.ordinal")
    assert "number 2" in finding.message
    assert rules(prepare_kit(stocked, read_manifest(another(ordinal=2)))) == []
    assert issued.number


def test_a_new_machine_under_an_ordinal_that_is_taken_stops_the_kit(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(LintFailed) as caught:
        issue_kit(stocked, read_manifest(another(ordinal=1, new=True)))
    assert caught.value.rule == "contradiction"
    assert "ordinal 2" in str(caught.value)
    assert issued.number


def test_a_kit_for_a_machine_that_moved_away_says_so(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    data = another(ordinal=1).replace(b'"code": "A500"', b'"name": "square 500 mL", "nominal": 500, "unit": "mL"')
    answer = prepare_kit(stocked, read_manifest(data))
    assert "machine_moved" in rules(answer)
    assert answer.status == "prepared", "new kits for that machine keep its birth designation"
    assert issued.number


def test_the_next_ordinal_is_only_taken_by_a_request_that_can_be_repeated(stocked: Workshop, issued: KitAnswer) -> None:
    new = read_manifest(another(new=True))
    with pytest.raises(BadRequest, match="two machines"):
        issue_kit(stocked, new)
    token = prepare_kit(stocked, new).token
    assert issue_kit(stocked, new, token=token).number == "OSV4-FC2-A500"
    with pytest.raises(TokenStale):
        issue_kit(stocked, new, token=token)
    retry = Retry.of("once", "POST /api/kits", b"kit")
    again = [issue_kit(stocked, new, retry=retry).number for _ in range(2)]
    assert again == ["OSV4-FC3-A500"] * 2
    assert issued.number


def test_only_a_new_machine_may_leave_its_ordinal_out(stocked: Workshop) -> None:
    answer = prepare_kit(stocked, read_manifest(another()))
    assert answer.status == "refused"
    assert "missing_the_first_time" in rules(answer)


def test_a_new_machine_stands_there_since_it_was_installed(stocked: Workshop, issued: KitAnswer) -> None:
    issue_kit(stocked, read_manifest(another(ordinal=2, installed_on="2026-04-02")))
    assert standing(stocked, "OSV", "4", "2026-04-01T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "4", "2026-04-02T00:00:00Z") == [FC1, "OSV4-FC2"]
    # It was there earlier than anybody wrote down.
    move_machine(stocked, "OSV4-FC2", MoveRequest(line="4", since="2026-01-10T00:00:00Z"))
    assert standing(stocked, "OSV", "4", "2026-01-10T00:00:00Z") == [FC1, "OSV4-FC2"]
    (stay,) = show_machine(stocked, "OSV4-FC2").placements
    assert (stay.since, stay.until) == ("2026-01-10T00:00:00Z", None)
    assert issued.number


def test_old_names_of_a_plant_and_a_line_still_find_them(stocked: Workshop, issued: KitAnswer) -> None:
    rename_plant(stocked, "osv", RenameRequest(name="Ostrey Works", since="2026-05-01T00:00:00Z"))
    rename_line(stocked, "OSV", 4, RenameRequest(name="hall B", since="2026-05-01T00:00:00Z"))
    kit = show_kit(stocked, issued.number)
    assert (kit.plant, kit.line, kit.line_now) == ("Ostrey Works", "hall B", "hall B")
    for plant, line in (("Ostrey Vale", "line 4"), ("ostrey  works", "HALL B"), ("OSV", "4"), (None, "hall b")):
        assert standing(stocked, plant, line) == [FC1]
    names = plant_names(stocked, "OSV").names
    assert [(row.name, row.since, row.until) for row in names] == [
        ("Ostrey Vale", None, "2026-05-01T00:00:00Z"),
        ("Ostrey Works", "2026-05-01T00:00:00Z", None),
    ]
    assert [event.verb for event in history(stocked, "OSV").events] == ["rename"]
    missing: list[tuple[str, str | None]] = [("OSV", "hall C"), ("Ostrey", None), ("OSV", "9")]
    for plant_, line_ in missing:
        with pytest.raises(PlaceUnknown):
            standing(stocked, plant_, line_)


def test_a_name_that_two_lines_bore_means_the_one_that_bore_it_then(stocked: Workshop, issued: KitAnswer) -> None:
    moved(stocked, 7, "2026-03-15T00:00:00Z")
    rename_line(stocked, "OSV", 4, RenameRequest(name="hall B", since="2026-01-01T00:00:00Z"))
    rename_line(stocked, "OSV", 4, RenameRequest(name="hall A", since="2026-03-01T00:00:00Z"))
    rename_line(stocked, "OSV", 7, RenameRequest(name="hall B", since="2026-03-01T00:00:00Z"))
    assert standing(stocked, "OSV", "hall B", "2026-02-15T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "hall B", "2026-04-15T00:00:00Z") == [FC1]
    assert standing(stocked, "OSV", "hall A", "2026-04-15T00:00:00Z") == []
    assert issued.number


def test_a_name_may_be_recorded_late_without_changing_todays(stocked: Workshop, issued: KitAnswer) -> None:
    rename_plant(stocked, "OSV", RenameRequest(name="Ostrey Works", since="2026-05-01T00:00:00Z"))
    answer = rename_plant(stocked, "OSV", RenameRequest(name="Ostrey North", since="2020-01-01T00:00:00Z"))
    assert [row.name for row in answer.names] == ["Ostrey Vale", "Ostrey North", "Ostrey Works"]
    assert (answer.name, show_kit(stocked, issued.number).plant) == ("Ostrey Works", "Ostrey Works")
    for wrong in ({"name": "Ostrey Works"}, {"name": "Other", "since": "2020-01-01T00:00:00Z"}):
        with pytest.raises(Contradiction):
            rename_plant(stocked, "OSV", RenameRequest.model_validate(wrong))
    with pytest.raises(BadRequest):
        rename_plant(stocked, "OSV", RenameRequest(name="Soon", since="2999-01-01T00:00:00Z"))
    with pytest.raises(PlaceUnknown):
        rename_line(stocked, "OSV", 9, RenameRequest(name="hall"))


def test_a_manifest_with_an_old_name_is_understood_and_one_with_a_foreign_name_is_not(
    stocked: Workshop, issued: KitAnswer
) -> None:
    rename_plant(stocked, "OSV", RenameRequest(name="Ostrey Works", since="2026-05-01T00:00:00Z"))
    document = json.loads(another(ordinal=2))
    assert rules(prepare_kit(stocked, read_manifest(as_bytes(document)))) == ["old_name"]
    document["plant"]["name"] = "Elsewhere"
    assert rules(prepare_kit(stocked, read_manifest(as_bytes(document)))) == ["contradiction"]
    assert issued.number


def test_the_list_of_machines_comes_in_parts(stocked: Workshop, issued: KitAnswer) -> None:
    for ordinal in (2, 3):
        issue_kit(stocked, read_manifest(another(ordinal=ordinal)))
    first = list_machines(stocked, limit=2).machines
    rest = list_machines(stocked, after=first[-1].designation, limit=2).machines
    assert [row.designation for row in (*first, *rest)] == [FC1, "OSV4-FC2", "OSV4-FC3"]
    assert [row.designation for row in list_machines(stocked, plant="OSV", line="4", after=FC1).machines] == [
        "OSV4-FC2",
        "OSV4-FC3",
    ]
    with pytest.raises(BadRequest):
        list_machines(stocked, after="OSV9-FC9")
    assert issued.number
