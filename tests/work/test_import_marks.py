"""A table of legacy marks: what goes in, what is refused and why, and that the same table again changes nothing."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from schemas.aliases import AliasWrongRequest
from schemas.answers import KitAnswer
from schemas.answers.aliases import ImportAnswer
from service.errors import BadCsv
from service.store.ledger import tip, verify
from service.work.aliases import list_aliases, mark_alias_wrong
from service.work.history import history
from service.work.import_marks import import_marks
from service.work.once import Retry
from service.work.read import read_mark
from service.work.workshop import Actor, Workshop
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4

pytestmark = pytest.mark.usefixtures("issued")

HEAD = "mark,kind,number,key,kit,place,source,note\n"


def sent(workshop: Workshop, *lines: str, head: str = HEAD, prepare_only: bool = False) -> ImportAnswer:
    return import_marks(
        workshop, (head + "\n".join(lines)).encode(), prepare_only=prepare_only, actor=Actor("terminal")
    )


def on_record(workshop: Workshop) -> list[tuple[str, str]]:
    return [(row.text, row.of) for row in list_aliases(workshop, limit=200).aliases]


def test_every_way_to_name_a_thing_goes_in(workshop: Workshop, issued: KitAnswer) -> None:
    key = next(row.key for row in issued.segments if row.number == NUMBER_U2)
    assert key is not None
    piece = next(one.key for row in issued.segments if row.number == NUMBER_U2 for one in row.pieces)
    answer = sent(
        workshop,
        f"PO 4711/3,,{NUMBER_U3},,,,purchase order,line 3",
        f"PO 4711/4,segment,{NUMBER_U4.lower().replace('-', '')},,,,,",
        f"PO 4711/5,,,{key[:4]}-{key[4:]},,,,",
        f"PO 4711/6,,,{piece},,,,",
        '"12"" star",,,,OSV4-FC1-A500,sw2u3,stencil,',
        "the green one,,,,osv4-fc1-a500,,,",
        "old Betty,Machine,OSV4-FC1,,,,,",
        "hall B,line,OSV4,,,,,",
        "the tall one,container,A500,,,,,",
        "",
    )
    assert (answer.status, answer.lines, answer.added, answer.already, answer.refused) == ("imported", 9, 9, 0, ())
    assert answer.refused_csv == ""
    assert on_record(workshop) == [
        ("PO 4711/3", NUMBER_U3),
        ("PO 4711/4", NUMBER_U4),
        ("PO 4711/5", NUMBER_U2),
        ("PO 4711/6", NUMBER_U2),
        ('12" star', NUMBER_U3),
        ("the green one", "OSV4-FC1-A500"),
        ("old Betty", "OSV4-FC1"),
        ("hall B", "OSV4"),
        ("the tall one", "OSV-A500"),
    ]
    first = list_aliases(workshop, text="4711/3").aliases[0]
    assert (first.source, first.note, first.recorded_by) == ("purchase order", "line 3", "terminal")
    assert read_mark(workshop, '12" star').number == NUMBER_U3


def test_what_cannot_go_in_is_refused_by_line_column_and_reason_and_the_rest_goes_in(workshop: Workshop) -> None:
    answer = sent(
        workshop,
        f"good,,{NUMBER_U3},,,,,",
        ",,OSV4-FC1-A500-SW2-U3-42,,,,,",
        "never issued,,OSV4-FC1-A500-SW9-U1-12,,,,,",
        "swapped,,OSV4-FC1-A500-SW2-U3-24,,,,,",
        "misread,,0SV4-FC1-A500-SW2-U3-42,,,,,",
        "no such kit,,,,OSV9-FC1-A500,SW2-U3,,",
        "no such place,,,,OSV4-FC1-A500,SW2-U9,,",
        "no place at all,,,,OSV4-FC1-A500,upper left,,",
        "nothing named,,,,,,,",
        f"named twice,,{NUMBER_U3},,OSV4-FC1-A500,SW2-U3,,",
        f"bad kind,gadget,{NUMBER_U3},,,,,",
        f"###,,{NUMBER_U3},,,,,",
        f"{NUMBER_U4},,{NUMBER_U3},,,,,",
        f"too wide,,{NUMBER_U3},,,,,,beyond",
        f'"broken"quote,,{NUMBER_U3},,,,,',
        "no such machine,machine,OSV4-FC9,,,,,",
        "a place is no machine,machine,,,OSV4-FC1-A500,SW2-U3,,",
        f"also good,,{NUMBER_U4},,,,,",
        f'"never closed,,{NUMBER_U3},,,,,',
        f"last good,,{NUMBER_U4},,,,,",
    )
    assert [row[0] for row in on_record(workshop)] == ["good", "also good", "last good"]
    assert (answer.lines, answer.added) == (20, 3)
    assert [(one.line, one.column, one.code) for one in answer.refused] == [
        (3, "mark", "bad_fields"),
        (4, "number", "mark_unknown"),
        (5, "number", "ambiguous_mark"),
        (6, "number", "bad_request"),
        (7, "kit", "kit_unknown"),
        (8, "place", "place_unknown"),
        (9, "place", "bad_fields"),
        (10, "of", "bad_request"),
        (11, "number", "bad_request"),
        (12, "kind", "bad_fields"),
        (13, "mark", "bad_request"),
        (14, "mark", "bad_request"),
        (15, "", "bad_csv"),
        (16, "", "bad_csv"),
        (17, "number", "machine_unknown"),
        (18, "kind", "bad_request"),
        (20, "", "bad_csv"),
    ]
    by_line = {one.line: one for one in answer.refused}
    assert by_line[6].message == f"it would have to be mended to be {NUMBER_U3}"
    assert by_line[6].todo == f"Write {NUMBER_U3} if that is what bears the mark"
    assert NUMBER_U3 in by_line[5].todo
    assert "beyond" in by_line[15].message
    assert all(one.message and one.todo for one in answer.refused)


def test_the_refused_lines_come_back_as_a_table_that_is_corrected_and_sent_again(workshop: Workshop) -> None:
    answer = sent(
        workshop,
        "good;;OSV4-FC1-A500-SW2-U3-42;",
        "=2+5;;OSV4-FC1-A500-SW2-U9-42;a; b",
        "PO 7;;OSV4-FC1-A500-SW2-U3-24;@note",
        head="mark;kind;number;note\n",
    )
    assert answer.added == 1
    head, broken, swapped = answer.refused_csv.splitlines()
    assert head == '"mark";"kind";"number";"note";"refused_because"'
    assert broken.startswith('"\'=2+5";"";"OSV4-FC1-A500-SW2-U9-42";"a";"')
    assert swapped.startswith('"PO 7";"";"OSV4-FC1-A500-SW2-U3-24";"\'@note";"number \'OSV4-FC1-A500-SW2-U3-24\': ')
    corrected = answer.refused_csv.replace("U3-24", "U3-42").replace("U9-42", "U4-39")
    again = import_marks(workshop, corrected.encode("utf-16"))
    assert (again.added, again.refused) == (2, ())
    assert on_record(workshop)[1:] == [("=2+5", NUMBER_U4), ("PO 7", NUMBER_U3)]
    assert list_aliases(workshop, text="PO 7").aliases[0].note == "@note"


def test_the_same_table_again_changes_nothing(workshop: Workshop) -> None:
    lines = (f"PO 1,,{NUMBER_U3},,,,,", f"po-1,,{NUMBER_U3},,,,,", f"PO 1,,{NUMBER_U4},,,,,", "x,,nothing,,,,,")
    first = sent(workshop, *lines)
    assert (first.added, first.already, len(first.refused)) == (2, 1, 1)
    with workshop.database.read() as connection:
        before = tip(connection)
    second = sent(workshop, *lines)
    assert (second.added, second.already, len(second.refused)) == (0, 3, 1)
    with workshop.database.read() as connection:
        assert tip(connection) == before
        assert connection.scalar(text("SELECT count(*) FROM alias")) == 2
    assert read_mark(workshop, "PO 1").outcome == "candidates"


def test_a_table_does_not_bring_back_what_was_marked_wrong(workshop: Workshop) -> None:
    sent(workshop, f"PO 1,,{NUMBER_U3},,,,,")
    mark_alias_wrong(workshop, 1, AliasWrongRequest(reason="it was PO 2"))
    again = sent(workshop, f"PO 1,,{NUMBER_U3},,,,,")
    (refused,) = again.refused
    assert (again.added, refused.column, refused.code) == (0, "mark", "contradiction")
    assert refused.message.endswith(": it was PO 2")


def test_a_dry_run_says_the_same_and_keeps_nothing(workshop: Workshop) -> None:
    lines = (f"PO 1,,{NUMBER_U3},,,,,", "x,,nothing,,,,,")
    prepared = sent(workshop, *lines, prepare_only=True)
    assert on_record(workshop) == []
    assert sent(workshop, *lines) == prepared.model_copy(update={"status": "imported"})


def test_the_ledger_holds_the_table_as_a_whole_and_every_mark(workshop: Workshop) -> None:
    sent(workshop, f"PO 1,,{NUMBER_U3},,,,,", "old Betty,machine,OSV4-FC1,,,,,", "x,,nothing,,,,,")
    (whole,) = history(workshop, "legacy marks").events
    assert isinstance(whole.after, dict)
    assert (whole.verb, whole.actor) == ("import marks", "terminal")
    assert {name: whole.after[name] for name in ("lines", "added", "already", "refused")} == {
        "lines": 3, "added": 2, "already": 0, "refused": 1,
    }  # fmt: skip
    assert [one.verb for one in history(workshop, "OSV4-FC1").events][-1] == "alias"
    with workshop.database.read() as connection:
        assert verify(connection).whole


def test_a_retry_gets_the_first_answer(workshop: Workshop) -> None:
    data = f"{HEAD}PO 1,,{NUMBER_U3},,,,,".encode()
    retry = Retry.of("once", "POST /api/aliases/import", data)
    first = import_marks(workshop, data, retry=retry)
    assert import_marks(workshop, data, retry=retry) == first


@pytest.mark.parametrize(
    ("data", "place"),
    [
        (b"", "line 1"),
        (b"\n\n ,,\n", "line 1"),
        (b"number,key\n", "line 1"),
        (b"mark,source\n", "line 1"),
        (b"\nmark,number,mark\n", "line 2"),
        (b"mark,number,colour\n", "line 1"),
        (b"mark,number\nGr\xf6\xdfe,X\n", "line 2"),
        (b'"mark,number\nx,y\n', "line 1"),
    ],
)
def test_a_table_that_cannot_be_read_as_a_whole_is_refused_as_a_whole(
    workshop: Workshop, data: bytes, place: str
) -> None:
    with pytest.raises(BadCsv) as caught:
        import_marks(workshop, data)
    assert caught.value.place == place
