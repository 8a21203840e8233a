"""The tables for developers hold: error codes with their statuses, rules of the lint, commands of the Makefile."""

from __future__ import annotations

import re

from service.api.problems import STATUS
from service.api.reference import error_leaves
from service.rules.evidence_table import TABLE
from service.rules.lint import LINT_RULES
from service.settings import Settings
from tests.bench.__main__ import subjects
from tests.markdown_page import CHANGELOG, DEVELOPERS, README, ROOT, coded


def test_each_error_code_has_the_status_it_is_answered_with() -> None:
    statuses = {
        kind.code: str(next((status for branch, status in STATUS if issubclass(kind, branch)), 500))
        for kind in error_leaves()
    }
    assert {row[0].strip("`"): row[1] for row in DEVELOPERS.table("Code", "Status")} == statuses


def test_each_rule_of_the_lint_is_listed_with_its_level_and_a_source() -> None:
    rows = DEVELOPERS.table("Rule", "Level")
    listed = {name.strip("`"): (level, holds_to) for name, level, holds_to, _source in rows}
    assert listed == {name: (rule.level, rule.sentence) for name, rule in LINT_RULES.items()}
    assert all(source for *_, source in rows)


def test_every_likelihood_of_evidence_is_listed_with_its_value() -> None:
    listed = [tuple(row) for row in DEVELOPERS.table("Likelihood", "Value")]
    assert listed == [(f"`{row.name}`", f"{row.value:g}", row.says) for row in TABLE]


def test_every_make_target_is_listed() -> None:
    (phony,) = re.findall(r"^\.PHONY: (.+)$", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
    assert {f"make {target}" for target in phony.split()} == set(DEVELOPERS.first_column("Command", "Does"))


def test_every_room_of_the_house_is_described() -> None:
    (house,) = DEVELOPERS.blocks("text")
    entries = [
        path.stem for path in (ROOT / "service").iterdir() if path.suffix == ".py" or (path / "__init__.py").exists()
    ]
    assert [room for room in entries if room != "__init__" and not re.search(rf"\b{room}\b", house)] == []


def test_the_subject_that_is_named_can_be_measured() -> None:
    named = re.findall(r"`python -m tests\.bench (\w+)`", DEVELOPERS.text)
    assert named
    assert set(named) <= set(subjects())


def test_every_file_and_every_table_that_is_named_exists() -> None:
    named = {word for word in coded(DEVELOPERS.prose) if re.fullmatch(r"[\w./-]+\.(py|toml|lock|json)", word)}
    assert {"service/errors.py", "tests/test_rooms.py"} <= named
    missing = [name for name in named if not ((ROOT / name).exists() or (ROOT / "service" / name).exists())]
    assert missing == []


def test_the_pages_name_settings_that_exist() -> None:
    known = {f"KITWRIGHT_{name.upper()}" for name in Settings.model_fields}
    for page in (README, DEVELOPERS, CHANGELOG):
        assert set(re.findall(r"\bKITWRIGHT_[A-Z_]+\b", page.text)) <= known


def test_the_version_that_is_described_is_this_one() -> None:
    version = re.search(r'^version = "(.+)"$', (ROOT / "pyproject.toml").read_text(encoding="utf-8"), re.MULTILINE)
    newest = re.search(r"^## (\S+)$", CHANGELOG.text, re.MULTILINE)
    assert version
    assert newest
    assert newest[1] == version[1]
