"""Templates over HTTP: the list with its findings, one template, schema, sample mark, and the lint of any body."""

from __future__ import annotations

import io
import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
import zxingcpp
from fastapi.testclient import TestClient
from PIL import Image

from schemas.label_template import label_template_schema, schema_text
from tests.api.conftest import Visited, client_of, opened, settings_for
from tests.hostile_templates import CLEAN_PATH, HOSTILE, Hostile
from tests.mark_factory import KEY, TEMPLATE_NAMES

TOML = {"Content-Type": "application/toml"}
CLEAN = CLEAN_PATH.read_text(encoding="utf-8")


@pytest.fixture
def client(visited: Visited) -> TestClient:
    """A service with an issued kit."""
    return visited.issued


@pytest.mark.parametrize("case", HOSTILE, ids=[case.name for case in HOSTILE])
def test_a_broken_template_is_answered_with_the_finding_that_points_at_it(client: TestClient, case: Hostile) -> None:
    answer = client.post("/api/templates/lint?file=t.toml", content=case.path.read_bytes(), headers=TOML)
    assert answer.status_code == 200
    said = answer.json()
    assert said["clean"] is False
    found = [(one["code"], one["field"], one["line"]) for one in said["findings"] if one["level"] == "error"]
    assert (case.rule, case.field, case.line) in found


def test_a_clean_template_is_clean_as_text_and_as_json(client: TestClient) -> None:
    as_text = client.post("/api/templates/lint?file=clean.toml", content=CLEAN, headers=TOML).json()
    as_json = client.post("/api/templates/lint", json=tomllib.loads(CLEAN)).json()
    assert (as_text["clean"], as_text["name"]) == (as_json["clean"], as_json["name"]) == (True, "clean")
    assert [one["line"] for one in as_json["findings"]] == [None] * len(as_json["findings"])


@pytest.mark.parametrize("body", [b"{", b"[]", b"3", b'"a"', b"[" * 100_000, b"\xff"])
def test_a_body_that_is_no_json_object_is_refused(client: TestClient, body: bytes) -> None:
    answer = client.post("/api/templates/lint", content=body, headers={"Content-Type": "application/json"})
    assert (answer.status_code, answer.json()["code"]) == (400, "not_json")


def test_json_that_is_nested_without_end_or_huge_is_a_finding(client: TestClient) -> None:
    deep = '{"a": ' * 300 + "1" + "}" * 300
    answer = client.post("/api/templates/lint", content=deep, headers={"Content-Type": "application/json"})
    assert [one["code"] for one in answer.json()["findings"]] == ["nested_too_deep"]
    huge = client.post("/api/templates/lint", content=b"#" * 1_000_000, headers=TOML)
    assert [one["code"] for one in huge.json()["findings"]] == ["too_large"]


def test_every_template_is_listed_with_size_stock_languages_and_findings(client: TestClient) -> None:
    said = client.get("/api/templates").json()
    assert [one["name"] for one in said["templates"]] == TEMPLATE_NAMES
    assert said["left_out"] == []
    for one in said["templates"]:
        assert one["languages"][0] == "en"
        assert one["resolutions"] == [203, 300, 600]
        assert one["stock"]
        assert not one["own"]
        assert {finding["level"] for finding in one["findings"]} <= {"warning"}, one["name"]


def test_a_template_is_shown_whole_and_lints_as_it_is_shown(client: TestClient) -> None:
    shown = client.get("/api/templates/nameplate-60x22").json()
    assert (shown["name"], shown["width_mm"], shown["fields"][0]["weight"]) == ("nameplate-60x22", 60, "bold")
    assert client.post("/api/templates/lint?damage=false", json=shown).json()["clean"]
    missing = client.get("/api/templates/none-such")
    assert (missing.status_code, missing.json()["code"]) == (404, "template_unknown")


def test_the_schema_is_the_published_one_and_another_validator_takes_it(client: TestClient) -> None:
    answer = client.get("/api/templates/schema")
    assert answer.json() == label_template_schema() == json.loads(schema_text())
    jsonschema.Draft202012Validator.check_schema(answer.json())
    validator = jsonschema.Draft202012Validator(answer.json())
    for name in TEMPLATE_NAMES:
        assert list(validator.iter_errors(client.get(f"/api/templates/{name}").json())) == []


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_a_sample_mark_is_a_picture_that_reads(client: TestClient, name: str) -> None:
    answer = client.get(f"/api/templates/{name}/sample.png?dpi=300")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "image/png")
    read = {found.text for found in zxingcpp.read_barcodes(Image.open(io.BytesIO(answer.content)))}
    assert any(KEY in text or "OSV4-FC1-A500" in text for text in read)


def test_one_bad_file_of_the_shop_stops_nothing_and_is_told(tmp_path: Path) -> None:
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "clean.toml").write_text(CLEAN, encoding="utf-8")
    (folder / "broken.toml").write_text("width_mm = 0\n", encoding="utf-8")
    (folder / "round.toml").symlink_to("round.toml")
    settings = settings_for(tmp_path, templates=folder)
    with opened(settings) as workshop:
        client = client_of(settings, workshop)
        assert client.get("/readyz").status_code == 200
        said = client.get("/api/templates").json()
        own = {one["name"] for one in said["templates"] if one["own"]}
        assert own == {"clean"}
        told = {one["file"]: one["findings"][0]["code"] for one in said["left_out"]}
        assert told["round.toml"] == "folder_loop"
        (broken,) = [one for one in said["left_out"] if one["file"] == "broken.toml"]
        assert ("out_of_range", "width_mm", 1) in [(f["code"], f["field"], f["line"]) for f in broken["findings"]]
