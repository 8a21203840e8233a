"""A workshop that holds the cut files of the table's example."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.app import close_workshop, open_workshop
from service.settings import Settings
from service.work.workshop import Workshop
from tests.small_kit import release


@pytest.fixture
def stocked_workshop(tmp_path: Path) -> Iterator[Workshop]:
    """Revisions - and B of two quarters of the star."""
    workshop = open_workshop(
        Settings(
            database_url=f"sqlite:///{tmp_path / 'kitwright.db'}", vault_url=str(tmp_path / "vault"), render_workers=0
        )
    )
    for place in ("SW2-U3", "SW2-U4"):
        for letter in ("-", "B"):
            release(workshop, place, revision=letter)
    yield workshop
    close_workshop(workshop)
