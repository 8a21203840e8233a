"""The whole application in front of the small kit."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import func, select

from schemas.answers import KitAnswer
from service.app import close_workshop, make_app, open_workshop
from service.settings import SHIPPED_TEMPLATES, Settings
from service.store.database import Database
from service.store.tables.base import Base
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.rendering import RenderRoom
from service.work.show_kit import show_kit
from service.work.workshop import Workshop
from tests.api.contract import Contract
from tests.router_factory import ROUTERS
from tests.small_kit import issue_small, release_all

BASE = "http://127.0.0.1:8000"
OWNER_KEY = "a-long-owner-key"
KIT = "OSV4-FC1-A500"
_CONTRACT: list[Contract] = []
Look = Callable[[], tuple[object, ...]]


@dataclass(frozen=True)
class Visited:
    """Clients at two services, and how much is on record behind them."""

    issued: TestClient
    stocked: TestClient
    look_issued: Look
    look_stocked: Look


def settings_for(folder: Path, **more: object) -> Settings:
    """Settings over a folder, drawing in the serving process."""
    plain = {
        "database_url": f"sqlite:///{folder / 'kitwright.db'}",
        "vault_url": str(folder / "vault"),
        "render_workers": 0,
    }
    return Settings.model_validate({**plain, **more})


@contextlib.contextmanager
def opened(settings: Settings) -> Iterator[Workshop]:
    """The workshop of these settings, closed at the end."""
    workshop = open_workshop(settings)
    try:
        yield workshop
    finally:
        close_workshop(workshop)


@contextlib.contextmanager
def workshop_over(database: Database, folder: Path) -> Iterator[Workshop]:
    """A workshop over a database of either kind, every cut file of the small kit released."""
    workshop = Workshop(
        database=database,
        vault=Vault(str(folder)),
        templates=read_templates([SHIPPED_TEMPLATES]),
        public_url=BASE,
        rendering=RenderRoom(0),
        routers=ROUTERS,
    )
    release_all(workshop)
    yield workshop
    workshop.exact.close()


def client_of(settings: Settings, workshop: Workshop) -> TestClient:
    """A client that is answered as over the wire, and that holds each answer to the document of the service.

    A fault of the program is a 500 here too, not an exception.
    """
    app = make_app(settings, workshop)
    client = TestClient(app, base_url=BASE, follow_redirects=False, raise_server_exceptions=False)
    # The document is the same whatever is on record, and making it takes longer than most calls.
    if not _CONTRACT:
        _CONTRACT.append(Contract(app.openapi()))
    client.event_hooks = {"response": [_CONTRACT[0].hold]}
    return client


@pytest.fixture(scope="session")
def stocked_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Every cut file of the small kit is released; to be copied, never written."""
    folder = tmp_path_factory.mktemp("stocked")
    with opened(settings_for(folder)) as workshop:
        release_all(workshop)
    return folder


@pytest.fixture(scope="session")
def issued_folder(stocked_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The small kit is issued; to be copied, never written."""
    folder = tmp_path_factory.mktemp("issued") / "data"
    shutil.copytree(stocked_folder, folder)
    with opened(settings_for(folder)) as workshop:
        issue_small(workshop)
    return folder


@pytest.fixture
def settings(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    """An open service bound to loopback, over a copy: with the small kit where the test asks for it."""
    kind = "issued_folder" if "issued" in request.fixturenames else "stocked_folder"
    folder = tmp_path / "data"
    shutil.copytree(request.getfixturevalue(kind), folder)
    return settings_for(folder)


@pytest.fixture
def workshop(settings: Settings) -> Iterator[Workshop]:
    """The workshop behind the application, every cut file of the small kit released."""
    with opened(settings) as workshop:
        yield workshop


@pytest.fixture
def client(settings: Settings, workshop: Workshop) -> TestClient:
    """A client at the application."""
    return client_of(settings, workshop)


@pytest.fixture
def issued(workshop: Workshop) -> KitAnswer:
    """The small kit, issued."""
    return show_kit(workshop, KIT)


@pytest.fixture
def guarded(settings: Settings, workshop: Workshop) -> TestClient:
    """A client without a key at a service that asks for one."""
    return client_of(
        settings.model_copy(update={"owner_key": settings_for(Path(), owner_key=OWNER_KEY).owner_key}), workshop
    )


def look_at(workshop: Workshop, vault: Path) -> Look:
    """How many rows each table has and which files the vault, each time it is called."""

    def look() -> tuple[object, ...]:
        with workshop.database.read() as connection:
            rows = [
                (table.name, connection.scalar(select(func.count()).select_from(table)))
                for table in Base.metadata.sorted_tables
            ]
        return (*rows, *sorted((path.name, path.stat().st_size) for path in vault.rglob("*") if path.is_file()))

    return look


@pytest.fixture
def on_record(workshop: Workshop, settings: Settings) -> Look:
    """How much is on record and in the vault."""
    return look_at(workshop, Path(settings.vault_url))


@pytest.fixture(scope="session")
def visited(issued_folder: Path, stocked_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visited]:
    """Two services for requests that change nothing: one with the small kit, one before it was issued."""
    folder = tmp_path_factory.mktemp("visited")
    with contextlib.ExitStack() as stack:

        def service(name: str, source: Path) -> tuple[TestClient, Look]:
            shutil.copytree(source, folder / name)
            workshop = stack.enter_context(opened(settings_for(folder / name)))
            return client_of(settings_for(folder / name), workshop), look_at(workshop, folder / name / "vault")

        issued, look_issued = service("issued", issued_folder)
        stocked, look_stocked = service("stocked", stocked_folder)
        yield Visited(issued, stocked, look_issued, look_stocked)


@pytest.fixture
def visitor(visited: Visited) -> Iterator[TestClient]:
    """A client at the small kit; the test fails if it leaves a row or a file behind, whatever it is answered."""
    before = visited.look_issued()
    yield visited.issued
    assert visited.look_issued() == before


@pytest.fixture
def early_visitor(visited: Visited) -> Iterator[TestClient]:
    """The same before the kit was issued."""
    before = visited.look_stocked()
    yield visited.stocked
    assert visited.look_stocked() == before
