"""The command: the main job from the terminal."""

from __future__ import annotations

import json
import re
import zipfile

import pytest
from ezdxf.filemanagement import readfile

from service.cli import COMMANDS
from service.demo.shop import demo_shop
from service.numbering.key import Key
from tests.commands.terminal import Terminal
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, NUMBER_U4, manifest

KIT = "OSV4-FC1-A500"


def test_help_names_every_command(terminal: Terminal) -> None:
    said = terminal.good("--help")
    assert all(f" {command} " in said for command in COMMANDS)
    assert all("--help" in terminal.good(command, "--help") for command in COMMANDS)
    assert list(terminal.folder.iterdir()) == []


def test_the_installed_command_says_an_error_in_words_and_ends_with_1(issued: Terminal) -> None:
    issued.monkeypatch.setenv("KITWRIGHT_DATABASE_URL", issued.settings.database_url)
    issued.monkeypatch.setenv("KITWRIGHT_VAULT_URL", issued.settings.vault_url)
    done = issued.process("reorder", NUMBER_U3, "--reason", "x")
    assert (done.returncode, done.stdout) == (1, "")
    assert "bad_fields" in done.stderr
    assert "Traceback" not in done.stderr


def test_an_unknown_command_is_refused(terminal: Terminal) -> None:
    done = terminal.run("destroy")
    assert done.status == 2
    assert "destroy" in done.err


def test_a_kit_from_manifest_to_plates_and_engraving(stocked: Terminal) -> None:
    prepared = stocked.good("issue", "--prepare", "kit.json")
    assert "(prepared)" in prepared
    assert NUMBER_U3 in prepared
    assert stocked.run("read", NUMBER_U3).out.startswith("unknown")

    issued = stocked.good("issue", "kit.json")
    assert "(issued)" in issued
    key = re.search(rf"{NUMBER_U3} │ (\w{{8}}) ", issued)
    assert key
    assert str(Key.parse(key[1])) == key[1]
    assert stocked.good("read", key[1]).startswith(f"exact {NUMBER_U3} ")

    plates, engraving = stocked.folder / "plates.pdf", stocked.folder / "engraving.zip"
    assert "every symbol read back" in stocked.good("print", KIT, "--out", str(plates), "--paper", "a4", "--dpi", "300")
    assert plates.read_bytes().startswith(b"%PDF")
    stocked.good("engrave", KIT, "--out", str(engraving))
    with zipfile.ZipFile(engraving) as archive:
        assert {"engravings.tsv", f"{NUMBER_U3}.dxf"} <= set(archive.namelist())


def test_one_segment_is_printed_and_engraved(issued: Terminal) -> None:
    tag, strokes, preview = (issued.folder / name for name in ("tag.pdf", "strokes.dxf", "preview.svg"))
    issued.good("print", NUMBER_U3, "--out", str(tag), "--template", "tied-tag-80x50")
    assert tag.read_bytes().startswith(b"%PDF")
    issued.good("engrave", NUMBER_U3, "--out", str(strokes))
    assert readfile(strokes).modelspace().query("LWPOLYLINE")
    issued.good("engrave", NUMBER_U3, "--out", str(preview))
    assert preview.read_text(encoding="utf-8").startswith("<svg")
    issued.good("engrave", NUMBER_U3, "--out", str(preview), "--cutter", "ball", "--diameter", "0.8", "--depth", "0.3")
    assert "ball nose 0.8 mm, 0.3 mm deep" in preview.read_text(encoding="utf-8")
    wrong = issued.run("engrave", NUMBER_U3, "--out", str(preview), "--cutter", "drill")
    assert wrong.status != 0
    assert "no such kind of cutter" in wrong.err


def test_reading_says_what_it_repaired_and_picks_no_candidate(issued: Terminal) -> None:
    repaired = issued.good("read", "0sv4 fc1 a5oo 5w2 u3 42")
    assert repaired.startswith(f"repaired {NUMBER_U3}")
    assert "character 1: '0' read as 'O'" in repaired
    candidates = issued.good("read", f"{NUMBER_U3[:-1]}3")
    assert candidates.startswith("candidates One mark")
    assert NUMBER_U3 in candidates
    unknown = issued.good("read", "MRG7-LB2-C330-TS1-X9-38")
    assert unknown.startswith("unknown")
    assert "TS1 timing screw 1" in unknown


def test_a_broken_segment_is_ordered_again(issued: Terminal) -> None:
    packet = issued.folder / "packet.zip"
    said = issued.good("reorder", NUMBER_U4, "--reason", "crushed", "--packet", str(packet))
    assert said.startswith("reorder 1: exact cut osv4-fc1-a500-sw2-u4.dxf rev -")
    assert "what the damaged piece was cut from" in said
    with zipfile.ZipFile(packet) as archive:
        assert {"work-sheet.pdf", "nameplates.pdf", "SHA256SUMS"} <= set(archive.namelist())
    assert issued.good("reorder", NUMBER_PLATES, "--reason", "worn", "--quantity", "3").startswith("reorder 2")


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (("issue", "kit.json"), "kit_exists", f"kit '{KIT}': this kit is already issued"),
        (("issue", "wrong.json"), "bad_manifest", "no such field is known here"),
        (("issue", "--prepare", "wrong.csv"), "bad_csv", "line 2"),
        (("print", "OSV4-FC1-A330", "--out", "x.pdf"), "kit_unknown", "no kit of this number was ever issued"),
        (("print", NUMBER_U3, "--out", "x.pdf", "--paper", "moon"), "bad_request", "Use roll, a4 or letter"),
        (("print", NUMBER_U3, "--out", "x.pdf", "--dpi", "72"), "bad_request", "203, 300, 600"),
        (("print", NUMBER_U3, "--out", "x.pdf", "--template", "none"), "template_unknown", "nameplate-60x22"),
        (("engrave", NUMBER_U3, "--out", "x.png"), "bad_request", "End the name in .dxf or .svg"),
        (("read", "OSV4€"), "bad_character", "no number or key holds the character"),
        (("reorder", f"{NUMBER_U3[:-1]}3", "--reason", "crushed"), "ambiguous_mark", "Ask which of them it is"),
        (("reorder", NUMBER_U3, "--reason", "x"), "bad_fields", "reason 'x'"),
        (("print", KIT, "--out", "nowhere/x.pdf"), "bad_request", "--out 'nowhere/x.pdf'"),
    ],
)
def test_an_error_is_a_sentence_and_ends_with_1(
    issued: Terminal, arguments: tuple[str, ...], code: str, says: str
) -> None:
    (issued.folder / "wrong.json").write_text(json.dumps(manifest(colour="green")), encoding="utf-8")
    (issued.folder / "wrong.csv").write_text("plant.code,OSV\nassembly,storey\n", encoding="utf-8")
    done = issued.run(*arguments)
    assert done.status == 1
    assert code in done.err
    assert says in done.err
    assert done.out == ""
    assert not (issued.folder / "x.pdf").exists()


def test_every_finding_of_a_refused_kit_is_told(issued: Terminal) -> None:
    wrong = manifest(machine={"class": "FC", "ordinal": 2}, stock_colour="mood")
    wrong["assemblies"][0]["segments"][0]["cut_file"] = "never.dxf"
    (issued.folder / "wrong.json").write_text(json.dumps(wrong), encoding="utf-8")
    for arguments in (("issue", "wrong.json"), ("issue", "--prepare", "wrong.json")):
        done = issued.run(*arguments)
        assert done.status == 1
        said = done.err + done.out
        assert "this cut file was never uploaded" in said
        assert "'mood' at stock_colour" in said


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("KITWRIGHT_PORT", "many", "valid integer"),
        ("KITWRIGHT_DATABASE_URL", "mysql://db/kit", "SQLite file or a PostgreSQL database"),
        ("KITWRIGHT_VAULT_URL", "ftp://vault", "KITWRIGHT_VAULT_URL"),
        ("KITWRIGHT_PUBLIC_URL", "parts.example", "begins with http:// or https://"),
        ("KITWRIGHT_TEMPLATES", "/nowhere", "KITWRIGHT_TEMPLATES"),
    ],
)
def test_a_wrong_setting_is_named(terminal: Terminal, name: str, value: str, says: str) -> None:
    done = terminal.run("read", NUMBER_U3, environment={name: value})
    assert done.status == 1
    assert name in done.err
    assert says in done.err


def test_the_demo_leaves_its_documents(terminal: Terminal) -> None:
    said = terminal.good("demo", "--out", "demo")
    folder = terminal.folder / "demo"
    assert f"is {NUMBER_U3}" in said
    assert said.count("(issued)") == len(demo_shop().manifests)
    left = {path.suffix for path in folder.rglob("*") if path.is_file()}
    assert {".pdf", ".dxf", ".svg", ".zip"} <= left
    for path in folder.rglob("*.pdf"):
        assert path.read_bytes().startswith(b"%PDF")
    again = terminal.run("demo", "--out", "demo")
    assert (again.status, "this folder holds an earlier demo" in again.err) == (1, True)
    # The shop's own records are left alone.
    assert not (terminal.folder / "kitwright.db").exists()
