"""Calls, steps and open work from the terminal, as a person at the desk types them."""

from __future__ import annotations

import csv
import json

from tests.camera import photograph_of
from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_U2, NUMBER_U4


def bad(terminal: Terminal, *arguments: str) -> str:
    """What a command says that is refused."""
    done = terminal.run(*arguments)
    assert done.status == 1
    return done.err


def test_from_a_call_to_the_parcel(issued: Terminal) -> None:
    picture = issued.folder / "plate.jpg"
    picture.write_bytes(photograph_of("plate"))
    said = issued.good(
        "report", "the green one is in pieces", "--mark", "A5??-SW*", "--by", "ear", "--caller", "night shift",
        "--tell", "stock_colour=green", "--tell", "overall_length_mm=418~5",
        "--photo", str(picture), "--typed", "A5?? SW",
    )  # fmt: skip
    assert said.startswith("report 1: reported")
    for words in ("words: the green one", "mark: A5??-SW*", "- stock_colour: green (desk", "photograph 1: A5?? SW"):
        assert words in said
    added = issued.good("report", "--to", "1", "--mark", "OSV4-FC1-A5??-SW*", "--tell", "hand=left")
    assert "mark: OSV4-FC1-A5??-SW*" in added
    assert "- hand: left" in added
    chosen = issued.good("choose", "1", NUMBER_U2, "--rejected", NUMBER_U4, "--reason", "seen in the picture")
    assert f"segment: {NUMBER_U2}" in chosen
    assert f"ruled out: {NUMBER_U4}" in chosen
    assert issued.good("reorder", NUMBER_U2, "--reason", "crushed", "--report", "1").startswith("reorder 1: exact")
    refused = bad(issued, "reorder", NUMBER_U2, "--reason", "crushed")
    assert "already_on_order" in refused
    assert "'also'" in refused
    assert issued.good("reorder", NUMBER_U2, "--reason", "crushed", "--also", "one more").startswith("reorder 2")
    issued.good("step", "1", "released_to_cut", "--promised-on", "2026-03-20")
    issued.good("step", "1", "cut")
    measured = issued.good("step", "1", "inspected", "--measured", "thickness=25.06@23", "--measured", "bore=20.1")
    assert "thickness: 25.06 mm at 23 °C, 25.045 at 20 °C" in measured
    assert "next: released_to_cut, shipped, fitted, cancelled" in measured
    issued.good("step", "1", "shipped", "--evidence", "one parcel")
    assert issued.good("reports").startswith("report 1: shipped, reorder 1, ")
    open_work = issued.good("open-work", "--plant", "OSV")
    assert open_work.startswith("reorder 1: shipped since ")
    assert " reorder 2: decided since " in open_work
    assert issued.good("open-work", "--ask-fitted") == ""
    table, document = issued.folder / "open.csv", issued.folder / "open.json"
    issued.good("open-work", "--state", "shipped", "--out", str(table))
    issued.good("open-work", "--out", str(document))
    with table.open(newline="", encoding="utf-8") as stream:
        assert [row["promised_on"] for row in csv.DictReader(stream)] == ["2026-03-20"]
    assert [row["order"] for row in json.loads(document.read_text(encoding="utf-8"))["rows"]] == [1, 2]
    no = issued.good("fitted", "1", "no", "--why", "does_not_lock", "--reason", "stands proud")
    assert "to be decided again: report 1" in no
    assert json.loads(issued.good("reports", "1", "--json"))["state"] == "identified"


def test_what_is_typed_wrong_is_said(issued: Terminal) -> None:
    issued.good("reorder", NUMBER_U2, "--reason", "crushed")
    for arguments, words in (
        (("report",), "says something"),
        (("report", "x", "--tell", "green"), "question=answer"),
        (("report", "x", "--tell", "overall_length_mm=418~wide"), "how far a length may be off"),
        (("report", "--to", "9", "more"), "no damage report has this id"),
        (("step", "1", "shipped"), "does not follow that"),
        (("step", "1", "flown"), "state"),
        (("step", "1", "cancelled"), "says why"),
        (("step", "1", "inspected", "--measured", "thickness"), "feature=value"),
        (("fitted", "1", "yes"), "before it was shipped"),
        (("open-work", "--state", "flown"), "an order has no such state"),
        (("open-work", "--out", "open.xlsx"), ".csv or .json"),
    ):
        assert words in bad(issued, *arguments), arguments
