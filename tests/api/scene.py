"""A service over its own copy of the issued small kit, and the requests that are made of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx2
import pytest
from fastapi.testclient import TestClient

from service.app import make_app
from service.settings import Settings
from service.work.workshop import Workshop
from tests.api.conftest import BASE
from tests.small_kit import file_of, manifest

Ask = Callable[[], httpx2.Response]
SECOND = {"class": "FC", "ordinal": 2}


@dataclass(frozen=True)
class Scene:
    """A service over its own copy of the issued small kit."""

    client: TestClient
    workshop: Workshop
    settings: Settings
    monkeypatch: pytest.MonkeyPatch

    def over(self, **changes: Any) -> TestClient:
        """A client at another service over the same records."""
        app = make_app(self.settings, dataclasses.replace(self.workshop, **changes))
        return TestClient(app, base_url=BASE, follow_redirects=False, raise_server_exceptions=False)

    def get(self, path: str, **more: Any) -> Ask:
        return lambda: self.client.get(path, **more)

    def post(self, path: str, body: object, **more: Any) -> Ask:
        return lambda: self.client.post(path, json=body, **more)

    def kit(self, **changes: Any) -> Ask:
        """A second kit, for the second machine unless said."""
        return self.post("/api/kits", manifest(**{"machine": SECOND, **changes}))

    def upload(self, data: bytes, *, name: str = "new.dxf", revision: str = "-", **fields: str) -> Ask:
        return lambda: self.client.post(
            f"/api/cut-files/{name}/revisions", files={"file": ("x", data)}, data={"revision": revision, **fields}
        )

    def kept(self, place: str) -> Path:
        """Where the vault keeps the bytes of a place's cut file."""
        sha256 = self.client.get(f"/api/cut-files/{file_of(place)}/revisions/-").json()["sha256"]
        (path,) = [path for path in Path(self.settings.vault_url).rglob("*") if sha256.endswith(path.name)]
        return path
