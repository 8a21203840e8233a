"""A workshop over each kind of database, empty or with the small kit issued."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from schemas.answers import KitAnswer
from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.export import export_to_file
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.postgres import PostgresServer
from tests.router_factory import ROUTERS
from tests.small_kit import issue_small, release_all
from tests.small_shop import live

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
        routers=ROUTERS,
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


@pytest.fixture
def new_workshop(tmp_path: Path, postgres: PostgresServer) -> Iterator[Callable[[str], Workshop]]:
    """Makes empty workshops over new databases of a kind, the first in ``workshop-0`` with its vault, and so on."""
    with contextlib.ExitStack() as opened:
        made: list[str] = []

        def make(kind: str) -> Workshop:
            folder = tmp_path / f"workshop-{len(made)}"
            made.append(kind)
            url = f"sqlite:///{folder / 'kitwright.db'}"
            if kind == "postgresql":
                name = postgres.create_database(template=postgres.template("migrated", _migrate))
                opened.callback(postgres.drop_database, name)
                url = postgres.url(name)
            return opened.enter_context(_opened(url, folder / "vault"))

        yield make


@pytest.fixture(scope="session")
def archive(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Path:
    """The archive of a shop in which a bit of everything has happened; nobody changes it."""
    folder = tmp_path_factory.mktemp("archive")
    path = folder / "kitwright.db"
    path.write_bytes(migrated_sqlite.read_bytes())
    with _opened(f"sqlite:///{path}", folder / "vault") as workshop:
        live(workshop)
        export_to_file(workshop, folder / "shop.zip")
    return folder / "shop.zip"


def _migrate(url: str) -> None:
    with contextlib.closing(Database(url)) as database:
        database.migrate()


@contextlib.contextmanager
def _opened(url: str, vault: Path) -> Iterator[Workshop]:
    with contextlib.closing(Database(url)) as database:
        database.migrate()
        workshop = Workshop(
            database=database,
            vault=Vault(str(vault)),
            templates=TEMPLATES,
            public_url="http://127.0.0.1:8000",
            rendering=RenderRoom(0),
            routers=ROUTERS,
        )
        with contextlib.closing(workshop.exact):
            yield workshop
