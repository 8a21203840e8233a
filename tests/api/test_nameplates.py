"""The marks of a kit over HTTP: handed out in blocks from a proven file that is gone afterwards."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from service.work.drawing_room import DRAFT_SUFFIX
from tests.api.conftest import KIT

pytestmark = pytest.mark.usefixtures("issued")


def test_a_file_is_whole_and_nothing_of_it_is_left(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    answer = client.get(f"/api/kits/{KIT}/nameplates.pdf", params={"paper": "a4", "start_cell": 29})
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")
    assert answer.content.endswith(b"%%EOF\n")
    assert int(answer.headers["content-length"]) == len(answer.content)
    assert list(tmp_path.glob(f"*{DRAFT_SUFFIX}")) == []


@pytest.mark.parametrize("start_cell", ["31", "-1", "0", "x", "99999999999"])
def test_a_cell_that_no_sheet_has_is_refused(client: TestClient, start_cell: str) -> None:
    for path in (f"/api/kits/{KIT}/nameplates.pdf", "/api/segments/OSV4-FC1-A500-SW2-U3-42/nameplate.pdf"):
        answer = client.get(path, params={"paper": "a4", "start_cell": start_cell})
        assert answer.status_code == 422
        assert answer.json()["field"].endswith("start_cell")
