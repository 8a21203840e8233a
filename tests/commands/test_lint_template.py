"""``kitwright lint-template``: every broken file gets its finding, status 1, and no trace of the program."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from service.settings import SHIPPED_TEMPLATES
from tests.commands.terminal import Terminal
from tests.hostile_templates import CLEAN_PATH, HOSTILE

FILES = [str(case.path) for case in HOSTILE]


def test_every_broken_file_is_told_with_line_and_field(terminal: Terminal) -> None:
    done = terminal.run("lint-template", "--json", *FILES)
    assert done.status == 1
    assert "Traceback" not in done.out + done.err
    said = {one["file"]: one for one in json.loads(done.out)}
    for case in HOSTILE:
        one = said[str(case.path)]
        assert not one["clean"]
        found = [(finding["code"], finding["field"], finding["line"]) for finding in one["findings"]]
        assert (case.rule, case.field, case.line) in found


@pytest.mark.parametrize("case", HOSTILE[::9], ids=[case.name for case in HOSTILE[::9]])
def test_the_table_says_rule_field_and_line(terminal: Terminal, case: object) -> None:
    path, rule, field = case.path, case.rule, case.field  # type: ignore[attr-defined]  # a case of the set
    done = terminal.run("lint-template", str(path))
    assert done.status == 1
    assert rule in done.out
    assert field.split("[")[0][:12] in done.out


def test_clean_files_end_with_status_0_and_notes_change_nothing(terminal: Terminal) -> None:
    said = terminal.good("lint-template", str(CLEAN_PATH))
    assert "clean.toml: 0 errors" in said
    assert "smaller_than_preferred" in said


def test_one_bad_file_among_good_ones_is_status_1(terminal: Terminal) -> None:
    done = terminal.run("lint-template", str(CLEAN_PATH), FILES[0])
    assert done.status == 1
    assert "clean.toml: 0 errors" in done.out


def test_what_is_no_file_at_all_is_told(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "round.toml").symlink_to("round.toml")
    os.mkfifo(tmp_path / "pipe.toml")
    huge = tmp_path / "huge.toml"
    huge.write_bytes(b"#" * 3_000_000)
    strange = [str(tmp_path / name) for name in ("round.toml", "pipe.toml", "huge.toml", "missing.toml")]
    done = terminal.run("lint-template", "--json", *strange, str(tmp_path))
    assert done.status == 1
    rules = [one["findings"][0]["code"] for one in json.loads(done.out)]
    assert rules == ["folder_loop", "not_readable", "too_large", "not_readable", "not_readable"]


def test_no_record_is_made_and_examples_are_said_to_stand_in(terminal: Terminal) -> None:
    done = terminal.run("lint-template", "--no-damage", str(SHIPPED_TEMPLATES / "nameplate-60x22.toml"))
    assert done.status == 0
    assert "no records yet" in done.err
    assert not (terminal.folder / "kitwright.db").exists()


def test_the_longest_texts_are_those_on_record(issued: Terminal, tmp_path: Path) -> None:
    narrow = CLEAN_PATH.read_text(encoding="utf-8").replace("width_mm = 52", "width_mm = 20", 1)
    (tmp_path / "clean.toml").write_text(narrow, encoding="utf-8")
    done = issued.run("lint-template", str(tmp_path / "clean.toml"))
    assert done.status == 1
    assert "no records yet" not in done.err
    assert "field_does_not_fit" in done.out


def test_a_process_of_its_own_ends_with_status_1_and_no_traceback(terminal: Terminal) -> None:
    done = terminal.process("lint-template", *FILES[:20])
    assert done.returncode == 1
    assert "Traceback" not in done.stdout + done.stderr
