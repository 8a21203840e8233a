"""Folders to type commands in: bare, with released cut files, with an issued kit."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from service.app import close_workshop, open_workshop
from tests.commands.terminal import Terminal
from tests.small_kit import issue_small, manifest, release_all


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Terminal:
    """Nothing is on record yet."""
    for name in [name for name in os.environ if name.startswith("KITWRIGHT_")]:
        monkeypatch.delenv(name)
    return Terminal(tmp_path, monkeypatch, capsys)


@pytest.fixture
def stocked(terminal: Terminal) -> Terminal:
    """Every cut file of the small kit is released."""
    workshop = open_workshop(terminal.settings)
    release_all(workshop)
    close_workshop(workshop)
    (terminal.folder / "kit.json").write_text(json.dumps(manifest()), encoding="utf-8")
    return terminal


@pytest.fixture
def issued(stocked: Terminal) -> Terminal:
    """The small kit is issued."""
    workshop = open_workshop(stocked.settings)
    issue_small(workshop)
    close_workshop(workshop)
    return stocked
