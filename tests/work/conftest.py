"""A workshop over each kind of database, empty or with the small kit issued."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from schemas.answers import KitAnswer
from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.small_kit import issue_small, release_all

TEMPLATES = read_templates([SHIPPED_TEMPLATES])


@pytest.fixture
def workshop(database: Database, tmp_path: Path) -> Iterator[Workshop]:
    """An empty workshop; the test runs once on each kind of database."""
    opened = Workshop(
        database=database,
        vault=Vault(str(tmp_path / "vault")),
        templates=TEMPLATES,
        public_url="http://127.0.0.1:8000",
        rendering=RenderRoom(0),
    )
    yield opened
    opened.exact.close()


@pytest.fixture
def stocked(workshop: Workshop) -> Workshop:
    """Every cut file of the small kit is released, no kit is issued."""
    release_all(workshop)
    return workshop


@pytest.fixture
def issued(stocked: Workshop) -> KitAnswer:
    """The small kit, issued."""
    return issue_small(stocked)
