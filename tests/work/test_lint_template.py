"""A template against the records: the longest texts are the shop's own, and every shipped template is clean."""

from __future__ import annotations

from pathlib import Path

import pytest

from schemas.template_reading import read_bytes
from service.settings import SHIPPED_TEMPLATES
from service.store.template_folder import template_files
from service.work.lint_template import lint_files, lint_reading, on_record, recorded_at
from service.work.templates import list_templates
from service.work.workshop import Workshop
from tests.demo_data import open_workshop
from tests.hostile_templates import CLEAN_PATH
from tests.small_kit import issue_small, release_all

CLEAN = CLEAN_PATH.read_bytes()


@pytest.mark.parametrize("file", template_files([SHIPPED_TEMPLATES]), ids=lambda file: file.stem)
def test_every_shipped_template_is_clean_with_what_the_demonstration_has_on_record(
    file: object, demo_folder: Path
) -> None:
    workshop = open_workshop(demo_folder)
    recorded = on_record(workshop)
    assert len(recorded.texts["assembly_name"]) > 5
    linted = lint_reading(file.reading, source=file.file_name, recorded=recorded)  # type: ignore[attr-defined]  # a file
    assert [finding for finding in linted.findings if finding.level == "error"] == []
    workshop.database.close()


def test_an_empty_shop_has_nothing_on_record_but_its_decks(workshop: Workshop) -> None:
    recorded = on_record(workshop)
    assert {name for name, texts in recorded.texts.items() if texts} == {"deck"}
    assert (recorded.quantity, recorded.mass_kg, recorded.serves, recorded.contents) == (0, 0.0, (), ())


def test_what_is_on_record_is_what_the_marks_of_the_kit_say(workshop: Workshop) -> None:
    release_all(workshop)
    kit = issue_small(workshop)
    recorded = on_record(workshop)
    assert set(recorded.texts["number"]) == {segment.number for segment in kit.segments}
    assert recorded.texts["kit"] == (kit.number,)
    assert recorded.texts["container_words"] == ("tall round 500 mL",)
    assert recorded.texts["machine_code"] == (kit.number.rpartition("-")[0],)
    assert set(recorded.texts["place"]) == {segment.place for segment in kit.segments}
    assert recorded.quantity == max(segment.quantity for segment in kit.segments)
    assert recorded.mass_kg == pytest.approx(max(segment.mass_kg for segment in kit.segments))
    assert recorded.kit_pieces == sum(segment.quantity for segment in kit.segments)
    assert sum(pieces for _, pieces in recorded.contents) == recorded.kit_pieces
    assert set(recorded.thickness_mm) <= {25.0, 20.0, 15.0, 12.0, 10.0}


def test_records_are_looked_up_again_after_a_change_and_only_then(workshop: Workshop) -> None:
    before = on_record(workshop)
    assert on_record(workshop) is before
    release_all(workshop)
    issue_small(workshop)
    assert on_record(workshop) is not before


def test_files_of_a_run_that_share_a_name_are_told(tmp_path: Path) -> None:
    for name in ("clean.toml", "second.toml"):
        (tmp_path / name).write_bytes(CLEAN)
    first, second = lint_files([tmp_path / "clean.toml", tmp_path / "second.toml"])
    assert first.is_clean
    told = {finding.rule: finding.level for finding in second.findings}
    assert (told["name_taken"], told["name_not_file"]) == ("error", "warning")


def test_a_name_that_is_not_the_files_is_a_note_with_its_line() -> None:
    linted = lint_reading(read_bytes(CLEAN), source="other.toml")
    (note,) = [finding for finding in linted.findings if finding.rule == "name_not_file"]
    assert (note.level, note.field, note.place) == ("warning", "name", "other.toml, line 2")
    assert linted.is_clean
    assert "name_not_file" not in {
        finding.rule for finding in lint_reading(read_bytes(CLEAN), source="clean.toml").findings
    }


def test_a_database_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    missing = tmp_path / "missing.db"
    assert recorded_at(f"sqlite:///{missing}", "http://127.0.0.1:8000") is None
    assert not missing.exists()


def test_records_are_read_where_nobody_has_opened_them(demo_folder: Path) -> None:
    recorded = recorded_at(f"sqlite:///{demo_folder / 'kitwright.db'}", "http://127.0.0.1:8000")
    assert recorded is not None
    assert "tall round 500 mL" in recorded.texts["container_words"]


def test_templates_of_a_workshop_without_files_are_listed_too(workshop: Workshop) -> None:
    listed = list_templates(workshop)
    assert {one.name for one in listed.templates} == workshop.templates.keys()
    assert listed.left_out == ()
