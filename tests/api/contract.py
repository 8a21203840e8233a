"""Holds every answer that a test gets to what the OpenAPI document says of the call."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

import httpx2
from pydantic import BaseModel

from schemas import answers
from schemas.problem import Problem

PROBLEM_JSON = "application/problem+json"


@dataclass(frozen=True)
class Contract:
    """An OpenAPI document as a judge of answers."""

    document: dict[str, Any]

    def hold(self, response: httpx2.Response) -> None:
        """Fail unless the answer is one that the document promises for its call, in status, type and fields."""
        response.read()
        path, method = response.request.url.raw_path.split(b"?")[0].decode(), response.request.method.lower()
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


def _model(reference: str) -> type[BaseModel]:
    name = reference.rpartition("/")[2]
    return Problem if name == "Problem" else getattr(answers, name)


def _same(model: type[BaseModel], response: httpx2.Response) -> None:
    """The body is what its model gives back: no field is missing, none is too many, none is of another type."""
    body = response.json()
    made = model.model_validate_json(response.content, strict=False)
    assert made.model_dump(mode="json", by_alias=True) == body, json.dumps(body)[:500]
