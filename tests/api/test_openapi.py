"""The OpenAPI document is complete: every call, parameter, body, field, answer and error; its examples hold."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from schemas.examples import EXAMPLES
from schemas.manifest import KitManifest
from schemas.manifest_examples import MANIFEST
from schemas.manifest_table import EXAMPLE
from tests.api.conftest import Visited
from tests.api.contract import models
from tests.small_kit import manifest

METHODS = {"get", "post", "put"}
# What makes something when it is not only asked to show it, and what always does.
SHOWN_OR_MADE = ("POST /api/kits", "POST /api/kits/{kit}/sets")
MAKE = (
    "POST /api/aliases",
    "POST /api/codes",
    "POST /api/cut-files/{name}/revisions",
    "POST /api/damage-reports",
    "POST /api/damage-reports/{report_id}/link",
    "POST /api/damage-reports/{report_id}/photos",
    "POST /api/kits/{kit}/inspections",
    "POST /api/kits/{kit}/reuse-checks",
    "POST /api/machines/{designation}/placements",
    "POST /api/machines/{designation}/surveys",
    "POST /api/plants/{code}/lines/{ordinal}/names",
    "POST /api/plants/{code}/names",
    "POST /api/print-jobs",
    "POST /api/reorders",
    "POST /api/same-interfaces",
    "POST /api/segments/{number}/pieces",
    "POST /api/webhooks",
)
# It goes on after the answer.
BEGIN = ("POST /api/print-jobs/{job_id}/resume",)
# What an answer without a body of its own model may be.
FILES = {
    "application/pdf",
    "application/zip",
    "image/jpeg",
    "image/png",
    "image/svg+xml",
    "image/vnd.dxf",
    "text/csv",
    "text/plain",
    "text/x-gcode",
}
# JSON whose form is another standard's, which no model of ours repeats.
FOREIGN_JSON = {"GET /api/segments/{number}/nameplate.json"}


@pytest.fixture(scope="module")
def document(visited: Visited) -> Any:
    """The document as it is served."""
    return visited.issued.get("/openapi.json").json()


def operations(document: Any) -> Iterator[tuple[str, Any]]:
    for path, methods in document["paths"].items():
        assert set(methods) <= METHODS
        for method, operation in methods.items():
            yield f"{method.upper()} {path}", operation


def references(node: Any) -> Iterator[str]:
    if isinstance(node, dict):
        for key, value in node.items():
            if key == "$ref":
                yield value
            else:
                yield from references(value)
    elif isinstance(node, list):
        for value in node:
            yield from references(value)


def test_it_has_the_members_that_openapi_3_1_asks_for(document: Any) -> None:
    """OpenAPI Specification 3.1.0, sections 4.8.1 (OpenAPI), 4.8.2 (Info) and 4.8.10 (Operation)."""
    assert document["openapi"].startswith("3.1")
    assert {"title", "version", "description"} <= document["info"].keys()
    ids = [operation["operationId"] for _, operation in operations(document)]
    assert len(ids) == len(set(ids))
    for name, operation in operations(document):
        in_path = {parameter["name"] for parameter in operation.get("parameters", ()) if parameter["in"] == "path"}
        assert in_path == {part.partition("}")[0] for part in name.split("{")[1:]}, name
        assert all(p["required"] for p in operation.get("parameters", ()) if p["in"] == "path"), name


def test_every_reference_resolves(document: Any) -> None:
    for reference in references(document):
        node = document
        for step in reference.removeprefix("#/").split("/"):
            node = node[step]
        assert node


def test_no_schema_stands_there_for_nothing(document: Any) -> None:
    assert {f"#/components/schemas/{name}" for name in document["components"]["schemas"]} <= set(references(document))


def test_every_call_says_what_it_does_and_how_it_fails(document: Any) -> None:
    for name, operation in operations(document):
        assert operation["summary"], name
        assert len(operation["description"]) > 15, name
        assert all(answer["description"] for answer in operation["responses"].values()), name
        failures = {status for status in operation["responses"] if status >= "4"}
        if "/api/" in name:
            assert {"401", "403", "404", "409", "422", "500", "503"} <= failures, name
        for status in failures:
            content = operation["responses"][status]["content"]
            model = "HealthAnswer" if name == "GET /readyz" else "Problem"
            kind = "application/json" if name == "GET /readyz" else "application/problem+json"
            assert content == {kind: {"schema": {"$ref": f"#/components/schemas/{model}"}}}, (name, status)


def test_every_call_says_what_comes_back(document: Any) -> None:
    for name, operation in operations(document):
        good = {status: answer for status, answer in operation["responses"].items() if status.startswith("2")}
        assert good, name
        for answer in good.values():
            for kind, content in answer["content"].items():
                assert kind in FILES or content["schema"].get("$ref") or name in FOREIGN_JSON, (name, kind)


def test_status_codes_are_those_of_what_is_done(document: Any) -> None:
    good = {
        name: {status for status in operation["responses"] if status.startswith("2")}
        for name, operation in operations(document)
    }
    for name in SHOWN_OR_MADE:
        assert good.pop(name) == {"200", "201"}, name
    for name in BEGIN:
        assert good.pop(name) == {"202"}, name
    for name in MAKE:
        assert good.pop(name) == {"201"}, name
    assert set(map(tuple, good.values())) == {("200",)}


def test_every_tag_is_described(document: Any) -> None:
    described = {tag["name"] for tag in document["tags"] if tag["description"]}
    assert {tag for _, operation in operations(document) for tag in operation["tags"]} == described


def test_every_parameter_is_described(document: Any) -> None:
    for name, operation in operations(document):
        for parameter in operation.get("parameters", ()):
            assert parameter.get("description"), (name, parameter["name"])


def test_every_field_of_every_schema_is_described(document: Any) -> None:
    bare = [
        f"{name}.{field}"
        for name, schema in document["components"]["schemas"].items()
        for field, facts in schema.get("properties", {}).items()
        if not facts.get("description")
    ]
    assert bare == []


def test_every_schema_says_what_it_is_and_has_an_example(document: Any) -> None:
    for name, schema in document["components"]["schemas"].items():
        if not name.startswith("Body_"):
            assert schema["description"], name
            assert schema["examples"], name


def test_every_body_has_an_example(document: Any) -> None:
    for name, operation in operations(document):
        for kind, content in operation.get("requestBody", {}).get("content", {}).items():
            named = document["components"]["schemas"].get(content["schema"].get("$ref", "").rpartition("/")[2], {})
            assert content.get("example") or named.get("examples"), (name, kind)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_an_example_is_what_its_model_takes_and_gives(name: str) -> None:
    model = models()[name]
    made = model.model_validate(EXAMPLES[name])
    answered = made.model_dump(mode="json", by_alias=True, exclude_unset=True)
    if name.endswith("Answer") or name == "Problem":
        assert answered == EXAMPLES[name]
        assert set(answered) == set(model.model_json_schema(mode="serialization")["properties"])


def test_every_example_belongs_to_a_schema(document: Any) -> None:
    assert set(EXAMPLES) == {name for name in document["components"]["schemas"] if not name.startswith("Body_")}


def test_what_a_kit_is_sent_as(document: Any) -> None:
    content = document["paths"]["/api/kits"]["post"]["requestBody"]["content"]
    shown = KitManifest.model_validate(content["application/json"]["example"])
    assert shown == KitManifest.model_validate(manifest(assemblies=MANIFEST["assemblies"]))
    assert content["text/csv"]["example"] == EXAMPLE


def test_who_gets_in_is_said(document: Any) -> None:
    assert document["components"]["securitySchemes"]["owner key"]["scheme"] == "bearer"
    assert document["security"] == [{"owner key": []}, {}]
    openly = [name for name, operation in operations(document) if operation.get("security") == []]
    assert openly == ["GET /healthz", "GET /readyz"]
