"""What is chosen on the command line: a set, a reason, survivors, a token, and the file that is written."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from pypdfium2 import PdfDocument

from schemas.pieces import RetirementRequest, SetRequest
from service.app import close_workshop, open_workshop
from service.work.history import history
from service.work.make_set import make_set
from service.work.reorder import list_reorders, show_reorder
from service.work.retire import retire_kit
from service.work.workshop import Workshop
from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_U2, NUMBER_U3, NUMBER_U4, manifest, release

KIT = "OSV4-FC1-A500"


@contextmanager
def records(terminal: Terminal) -> Iterator[Workshop]:
    """The records of the folder, to look into."""
    workshop = open_workshop(terminal.settings)
    try:
        yield workshop
    finally:
        close_workshop(workshop)


def verbs(terminal: Terminal, subject: str) -> list[str]:
    """What is on record about a kit or a segment, in order."""
    with records(terminal) as workshop:
        return [event.verb for event in history(workshop, subject).events]


def text_of(path: Path) -> str:
    """All words of a PDF."""
    with closing(PdfDocument(path)) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


def test_marks_of_one_set_bear_the_keys_of_its_pieces(issued: Terminal) -> None:
    with records(issued) as workshop:
        made = make_set(workshop, KIT, SetRequest())
    key = next(segment.keys[0] for segment in made.segments if segment.number == NUMBER_U3)
    for number, bears in ((1, False), (2, True)):
        plates, engraving = issued.folder / f"{number}.pdf", issued.folder / f"{number}.zip"
        issued.good("print", KIT, "--set", str(number), "--out", str(plates), "--template", "tied-tag-80x50")
        assert (f"{key[:4]} {key[4:]}" in text_of(plates)) is bears
        issued.good("engrave", KIT, "--set", str(number), "--out", str(engraving))
        with zipfile.ZipFile(engraving) as archive:
            assert (key in archive.read("engravings.tsv").decode().replace("-", "")) is bears


def test_a_set_that_was_never_made_is_refused_before_anything_is_marked(issued: Terminal) -> None:
    before = verbs(issued, KIT)
    for command in ("print", "engrave"):
        done = issued.run(command, KIT, "--set", "3", "--out", "x.pdf")
        assert (done.status, "set_unknown" in done.err) == (1, True)
        done = issued.run(command, NUMBER_U3, "--set", "2", "--out", "x.svg")
        assert (done.status, "a set is chosen for a whole kit" in done.err) == (1, True)
    assert verbs(issued, KIT) == before
    assert not list(issued.folder.glob("x.*"))


def test_a_retired_kit_is_marked_and_ordered_for_a_reason_only(issued: Terminal) -> None:
    with records(issued) as workshop:
        retire_kit(workshop, KIT, RetirementRequest(reason="the bottle is not filled any more"))
    commands = (
        ("print", KIT, "--out", "plates.pdf"),
        ("print", NUMBER_U3, "--out", "plate.pdf"),
        ("engrave", KIT, "--out", "engraving.zip"),
        ("engrave", NUMBER_U3, "--out", "engraving.dxf"),
        ("reorder", NUMBER_U3, "--reason", "crushed", "--packet", "packet.zip"),
    )
    for command in commands:
        done = issued.run(*command)
        assert (done.status, "kit_retired" in done.err) == (1, True)
        assert not (issued.folder / command[-1]).exists()
        short = issued.run(*command, "--override", "x")
        assert (short.status, "bad_fields" in short.err, "override 'x'" in short.err) == (1, True, True)
        issued.good(*command, "--override", "sold on with the line")
        assert (issued.folder / command[-1]).stat().st_size > 0
    assert verbs(issued, KIT).count("override") >= len(commands)


def test_survivors_are_those_that_are_named(issued: Terminal) -> None:
    with records(issued) as workshop:
        for place, neighbour in (("SW2-U3", "SW2-U4"), ("SW2-U4", "SW2-U3")):
            release(workshop, place, revision="A", joints_changed=neighbour)
    newest = ("reorder", NUMBER_U3, "--reason", "crushed", "--newest", "--also", "asked in four ways")
    # The joint with U4 changed: where U4 survived it is cut with it, where only U2 did it is not looked at.
    assert "also cut OSV4-FC1-A500-SW2-U4" in issued.good(*newest)
    assert "also cut" not in issued.good(*newest, "--survivor", NUMBER_U2)
    issued.good(*newest, "--survivor", NUMBER_U2, "--survivor", NUMBER_U4)
    issued.good(*newest, "--no-survivors")
    with records(issued) as workshop:
        told = [set(show_reorder(workshop, number).survivors) for number in (1, 2, 3, 4)]
    assert told == [{NUMBER_U2, NUMBER_U4}, {NUMBER_U2}, {NUMBER_U2, NUMBER_U4}, set()]
    both = issued.run(*newest, "--survivor", NUMBER_U2, "--no-survivors")
    assert (both.status, "some survived or none did" in both.err) == (1, True)


def test_a_machine_without_an_ordinal_is_issued_with_the_token_that_preparing_said(stocked: Terminal) -> None:
    text = json.dumps(manifest(machine={"class": "FC", "new": True, "rotation": "clockwise"}))
    (stocked.folder / "next.json").write_text(text, encoding="utf-8")
    bare = stocked.run("issue", "next.json")
    assert (bare.status, "would make two machines" in bare.err) == (1, True), bare.err
    token = stocked.good("issue", "--prepare", "next.json").rpartition("token ")[2]
    assert "(issued)" in stocked.good("issue", "next.json", "--token", token)
    stale = stocked.run("issue", "next.json", "--token", token)
    assert (stale.status, "token_stale" in stale.err) == (1, True)


@pytest.mark.parametrize(
    "command",
    [
        ("print", KIT, "--out"),
        ("engrave", KIT, "--out"),
        ("book", KIT, "--out"),
        ("reorder", NUMBER_U3, "--reason", "crushed", "--packet"),
    ],
    ids=lambda command: command[0],
)
def test_a_file_that_cannot_be_written_is_said_before_anything_goes_on_record(
    issued: Terminal, command: tuple[str, ...]
) -> None:
    before = verbs(issued, KIT)
    (issued.folder / "folder").mkdir()
    for target, says in (("nowhere/x", "Make the folder nowhere"), ("folder", "this is a folder")):
        done = issued.run(*command, target)
        assert done.status == 1
        assert f"{command[-1]} '{target}'" in done.err
        assert "bad_request" in done.err
        assert says in done.err
    assert verbs(issued, KIT) == before
    with records(issued) as workshop:
        assert list_reorders(workshop, after=None, limit=1) == ()


def test_a_full_disk_is_said_and_what_was_decided_is_told_all_the_same(issued: Terminal) -> None:
    # Writing to /dev/full fails as on a full disk, with ENOSPC (full(4), Linux manual pages).
    done = issued.run("reorder", NUMBER_U3, "--reason", "crushed", "--packet", "/dev/full")
    assert done.status == 1
    assert done.out.startswith("reorder 1: exact")
    assert "target_unavailable" in done.err
    assert "--packet '/dev/full'" in done.err


def test_a_folder_of_the_demo_that_cannot_be_made_is_said(terminal: Terminal) -> None:
    (terminal.folder / "taken").write_text("a file", encoding="utf-8")
    done = terminal.run("demo", "--out", "taken/demo")
    assert (done.status, done.out) == (1, "")
    assert "this folder cannot be made" in done.err


def test_a_program_for_a_router_is_written_for_one_segment(issued: Terminal) -> None:
    to = issued.folder / "segment.nc"
    said = issued.good("route", NUMBER_U3, "--profile", "--zero", "drawing", "--out", str(to))
    assert "Prove it over the sheet first" in said
    text = to.read_text(encoding="ascii")
    assert f"({NUMBER_U3}" in text
    assert "(outside contour)" in text
    for arguments, words in (
        ((KIT,), "a program is for one segment"),
        ((NUMBER_U3, "--zero", "middle"), "Use corner or drawing"),
        ((NUMBER_U3, "--router", "none"), "Use one of inch-single-spindle, metric"),
        ((NUMBER_U3, "--tool", "77"), "no tool 77 that engraves"),
    ):
        done = issued.run("route", *arguments, "--out", str(issued.folder / "other.nc"))
        assert done.status == 1
        assert words in done.err
    assert not (issued.folder / "other.nc").exists()
