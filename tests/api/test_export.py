"""The archive over HTTP: the same bytes as from the terminal, for the owner alone, or an error and no archive."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import IO

import pytest
from fastapi.testclient import TestClient
from pydantic import SecretStr

from service.api import export
from service.app import close_workshop, make_app, open_workshop
from service.settings import Settings
from service.work.export import export_to_file, export_to_stream
from service.work.restore import restore_archive
from service.work.workshop import Workshop
from tests.small_kit import issue_small, release_all
from tests.small_shop import rows

KEY = "a-long-owner-key"
HEADERS = {"Authorization": f"Bearer {KEY}"}


def settings(folder: Path) -> Settings:
    return Settings(
        database_url=f"sqlite:///{folder / 'kitwright.db'}",
        vault_url=str(folder / "vault"),
        owner_key=SecretStr(KEY),
        render_workers=0,
    )


@pytest.fixture
def workshop(tmp_path: Path) -> Iterator[Workshop]:
    """A shop with a kit."""
    opened = open_workshop(settings(tmp_path / "shop"))
    release_all(opened)
    issue_small(opened)
    yield opened
    close_workshop(opened)


@pytest.fixture
def client(workshop: Workshop, tmp_path: Path) -> Iterator[TestClient]:
    """The whole service over it."""
    with TestClient(make_app(settings(tmp_path / "shop"), workshop), base_url="http://127.0.0.1:8000") as client:
        yield client


def test_the_owner_gets_the_whole_archive(client: TestClient, workshop: Workshop, tmp_path: Path) -> None:
    answer = client.get("/api/export.zip", headers=HEADERS)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/zip"
    assert answer.headers["content-disposition"] == 'attachment; filename="kitwright-export.zip"'
    assert answer.headers["cache-control"] == "no-store"
    assert int(answer.headers["content-length"]) == len(answer.content)
    export_to_file(workshop, tmp_path / "shop.zip")
    assert answer.content == (tmp_path / "shop.zip").read_bytes()
    bare = open_workshop(settings(tmp_path / "bare"))
    restore_archive(bare, tmp_path / "shop.zip")
    assert rows(bare) == rows(workshop)
    close_workshop(bare)


def test_nobody_else_gets_it(client: TestClient) -> None:
    for headers in ({}, {"Authorization": "Bearer another"}):
        answer = client.get("/api/export.zip", headers=headers)
        assert (answer.status_code, answer.json()["code"]) == (401, "not_signed_in")


def test_a_lost_cut_file_is_a_problem_document_and_no_broken_archive(client: TestClient, tmp_path: Path) -> None:
    lost = next(path for path in (tmp_path / "shop" / "vault" / "sha256").rglob("*") if path.is_file())
    lost.unlink()
    answer = client.get("/api/export.zip", headers=HEADERS)
    assert (answer.status_code, answer.json()["code"]) == (500, "cut_file_missing")
    assert answer.json()["value"].endswith(".dxf revision -")


def test_one_archive_is_written_at_a_time(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def slow(workshop: Workshop) -> IO[bytes]:
        begun.set()
        assert go_on.wait(timeout=30)
        return export_to_stream(workshop)

    monkeypatch.setattr(export, "export_to_stream", slow)
    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(client.get, "/api/export.zip", headers=HEADERS)
        assert begun.wait(timeout=30)
        second = client.get("/api/export.zip", headers=HEADERS)
        go_on.set()
        assert first.result().status_code == 200
    assert (second.status_code, second.json()["code"]) == (409, "request_in_progress")
    assert client.get("/api/export.zip", headers=HEADERS).status_code == 200
