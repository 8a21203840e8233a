"""Holds every answer that a test gets to what the OpenAPI document says of the call."""

from __future__ import annotations

import inspect
import json
import pkgutil
import re
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any
from urllib.parse import unquote

import httpx2
from pydantic import BaseModel

import schemas

PROBLEM_JSON = "application/problem+json"


@dataclass(frozen=True)
class Contract:
    """An OpenAPI document as a judge of answers."""

    document: dict[str, Any]

    def hold(self, response: httpx2.Response) -> None:
        """Fail unless the answer is one that the document promises for its call, in status, type and fields."""
        response.read()
        path, method = response.request.url.raw_path.split(b"?")[0].decode(), response.request.method.lower()
        if response.status_code == 307:
            # A slash too many at the end leads to the address without it.
            assert unquote(path).endswith("/")
            assert not unquote(response.headers["location"]).endswith("/")
            return
        promised = self._operation(path, method)
        kind = response.headers.get("content-type", "").partition(";")[0]
        if promised is None:
            assert kind != "application/json" or path == "/openapi.json", f"{method} {path} is in no document"
            return
        answer = promised["responses"].get(str(response.status_code))
        if response.status_code == 405:
            answer = {"content": {PROBLEM_JSON: {"schema": {"$ref": "Problem"}}}}
        assert answer is not None, f"{method} {path} answers {response.status_code}, which is not documented"
        assert kind in answer["content"], f"{method} {path} answers {kind}, which is not documented"
        reference = answer["content"][kind].get("schema", {}).get("$ref")
        if reference is not None:
            _same(_model(reference), response)

    def _operation(self, path: str, method: str) -> Any:
        """The most literal path that fits, as the router would take it."""
        fitting = [template for template in self.document["paths"] if re.fullmatch(_pattern(template), path)]
        if not fitting:
            return None
        methods = self.document["paths"][min(fitting, key=lambda template: template.count("{"))]
        return methods.get(method) or next(iter(methods.values()))


def _pattern(template: str) -> str:
    return "".join("[^/]+" if part.startswith("{") else re.escape(part) for part in re.split(r"(\{\w+\})", template))


@cache
def models() -> dict[str, type[BaseModel]]:
    """Every model of the documents, by name."""
    modules = [import_module(module.name) for module in pkgutil.walk_packages(schemas.__path__, "schemas.")]
    return {
        name: kind
        for module in modules
        for name, kind in inspect.getmembers(module, inspect.isclass)
        if issubclass(kind, BaseModel) and kind.__module__.startswith("schemas.")
    }


def _model(reference: str) -> type[BaseModel]:
    return models()[reference.rpartition("/")[2]]


def _same(model: type[BaseModel], response: httpx2.Response) -> None:
    """The body is what its model gives back: no field is missing, none is too many, none is of another type."""
    body = response.json()
    made = model.model_validate_json(response.content, strict=False)
    assert made.model_dump(mode="json", by_alias=True) == body, json.dumps(body)[:500]
