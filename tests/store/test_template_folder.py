"""Folders of templates: what is whole is used, whatever else lies there is left out with its fault."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from schemas.template_reading import MOST_BYTES
from service.errors import BadTemplate
from service.settings import SHIPPED_TEMPLATES
from service.store.template_folder import TemplateFile, read_templates, template_files, templates_of
from tests.hostile_templates import CLEAN_PATH, HOSTILE

CLEAN = CLEAN_PATH.read_text(encoding="utf-8")


def rules(files: tuple[TemplateFile, ...]) -> dict[str, list[str]]:
    return {file.file_name: [fault.rule for fault in file.reading.faults] for file in files}


def test_every_shipped_template_is_used() -> None:
    files = template_files([SHIPPED_TEMPLATES])
    assert templates_of(files).keys() == {path.stem for path in SHIPPED_TEMPLATES.glob("*.toml")}
    assert all(file.stem == file.reading.parts.name for file in files if file.reading.parts)


def test_a_file_of_the_shop_takes_the_place_of_a_shipped_one(tmp_path: Path) -> None:
    own = (SHIPPED_TEMPLATES / "nameplate-60x22.toml").read_text(encoding="utf-8")
    (tmp_path / "nameplate-60x22.toml").write_text(own.replace('title = "', 'title = "Our own: '), encoding="utf-8")
    assert read_templates([SHIPPED_TEMPLATES, tmp_path])["nameplate-60x22"].title.startswith("Our own")


def test_broken_files_are_left_out_and_stop_nothing(tmp_path: Path) -> None:
    for case in HOSTILE:
        (tmp_path / case.path.name).write_bytes(case.path.read_bytes())
    (tmp_path / "clean.toml").write_text(CLEAN, encoding="utf-8")
    files = template_files([SHIPPED_TEMPLATES, tmp_path])
    found = templates_of(files)
    assert "clean" in found
    assert "nameplate-60x22" in found
    told = rules(files)
    assert all(case.rule in told[case.path.name] for case in HOSTILE if case.name not in found and told[case.path.name])
    assert all(told[f"{name}.toml"] == [] for name in found)


def test_a_broken_override_leaves_the_shipped_one_in_use(tmp_path: Path) -> None:
    (tmp_path / "nameplate-60x22.toml").write_text("width_mm = 0", encoding="utf-8")
    assert read_templates([SHIPPED_TEMPLATES, tmp_path])["nameplate-60x22"].width_mm == 60


def test_of_two_files_with_one_name_the_later_is_left_out(tmp_path: Path) -> None:
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text(CLEAN, encoding="utf-8")
    files = template_files([tmp_path])
    assert rules(files) == {"a.toml": [], "b.toml": ["name_taken"]}
    (fault,) = files[1].reading.faults
    assert (fault.path, fault.line) == (("name",), 2)
    assert "a.toml" in fault.what


def test_links_in_circles_folders_pipes_and_huge_files_are_told(tmp_path: Path) -> None:
    (tmp_path / "round.toml").symlink_to("around.toml")
    (tmp_path / "around.toml").symlink_to("round.toml")
    (tmp_path / "itself.toml").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "above.toml").symlink_to(tmp_path.parent, target_is_directory=True)
    (tmp_path / "gone.toml").symlink_to("nothing.toml")
    (tmp_path / "folder.toml").mkdir()
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "huge.toml").write_bytes(b"# " + b"x" * MOST_BYTES)
    (tmp_path / "note.txt").write_text("no template", encoding="utf-8")
    (tmp_path / "good.toml").symlink_to(CLEAN_PATH)
    assert rules(template_files([tmp_path])) == {
        "above.toml": ["folder_loop"],
        "around.toml": ["folder_loop"],
        "folder.toml": ["not_readable"],
        "gone.toml": ["not_readable"],
        "good.toml": [],
        "huge.toml": ["too_large"],
        "itself.toml": ["folder_loop"],
        "pipe.toml": ["not_readable"],
        "round.toml": ["folder_loop"],
    }


def test_a_folder_that_is_a_link_in_a_circle_is_no_folder(tmp_path: Path) -> None:
    (tmp_path / "own").symlink_to("own")
    with pytest.raises(BadTemplate, match="no such folder"):
        template_files([tmp_path / "own"])
    with pytest.raises(BadTemplate, match="no such folder"):
        template_files([tmp_path / "missing"])
