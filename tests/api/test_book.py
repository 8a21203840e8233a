"""The paper book over HTTP and from the terminal."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.app import close_workshop, make_app, open_workshop
from service.render.book_pdf import prove_book
from service.settings import Settings
from tests.small_kit import issue_small, release_all

KIT = "OSV4-FC1-A500"


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A shop of its own in a folder."""
    return Settings(
        database_url=f"sqlite:///{tmp_path / 'kitwright.db'}", vault_url=str(tmp_path / "vault"), render_workers=0
    )


@pytest.fixture
def client(settings: Settings) -> Iterator[TestClient]:
    """The whole service with the small kit issued."""
    workshop = open_workshop(settings)
    release_all(workshop)
    issue_small(workshop)
    with TestClient(make_app(settings, workshop), base_url="http://127.0.0.1:8000") as client:
        yield client
    close_workshop(workshop)


@pytest.mark.parametrize("address", [f"/api/kits/{KIT}/book.pdf", f"/shop/kits/{KIT}/book.pdf"])
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_book_comes_as_pdf(client: TestClient, address: str, paper: str) -> None:
    response = client.get(address, params={"paper": paper})
    assert response.status_code == 200
    assert response.headers["content-type"] == "application/pdf"
    assert "inline" in response.headers["content-disposition"]
    assert prove_book(response.content, name=KIT) > 5
    assert client.get(f"/api/kits/{KIT.lower()}/book.pdf", params={"paper": paper}).content == response.content


def test_the_page_of_a_kit_leads_to_its_book(client: TestClient) -> None:
    text = client.get(f"/shop/kits/{KIT}").text
    assert f'href="/shop/kits/{KIT}/book.pdf"' in text
    assert f'href="/shop/kits/{KIT}/book.pdf?paper=letter"' in text


def test_no_such_kit_and_no_such_paper_are_problems(client: TestClient) -> None:
    missing = client.get("/api/kits/OSV4-FC1-C500/book.pdf")
    assert (missing.status_code, missing.json()["code"]) == (404, "kit_unknown")
    roll = client.get(f"/api/kits/{KIT}/book.pdf", params={"paper": "roll"})
    assert roll.status_code == 422
    assert roll.headers["content-type"] == "application/problem+json"


def test_the_command_writes_the_same_book(client: TestClient, settings: Settings, tmp_path: Path) -> None:
    target = tmp_path / "book.pdf"
    clean = {name: value for name, value in os.environ.items() if not name.startswith("KITWRIGHT_")}
    own = {"KITWRIGHT_DATABASE_URL": settings.database_url, "KITWRIGHT_VAULT_URL": settings.vault_url}

    def kitwright(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [str(Path(sys.executable).parent / "kitwright"), *arguments],
            env={**clean, **own, "COLUMNS": "200"},
            capture_output=True,
            text=True,
            check=False,
        )

    done = kitwright("book", KIT, "--out", str(target), "--paper", "letter")
    assert done.returncode == 0, done.stderr
    assert "every page proves itself" in done.stdout
    served = client.get(f"/api/kits/{KIT}/book.pdf", params={"paper": "letter"}).content
    assert target.read_bytes() == served
    refused = kitwright("book", KIT, "--out", str(target), "--paper", "roll")
    assert refused.returncode == 1
    assert "no such paper" in refused.stderr
