"""The shop desk: label templates, their schema, and the lint that says everything that is wrong with one."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from schemas.answers import SchemaAnswer, TemplateLintAnswer, TemplateListAnswer
from schemas.label_template import LabelTemplate, label_template_schema
from schemas.template_examples import TEMPLATE_TOML
from service.api.problems import RESPONSES
from service.api.requests import Dpi, answers_file, attachment
from service.errors import NotJson
from service.work import templates
from service.work.workshop import Workshop

TemplateName = Annotated[
    str,
    Path(
        description="Name of the template; ``GET /api/templates`` lists them.",
        examples=["nameplate-60x22"],
        alias="name",
        max_length=60,
    ),
]
FileName = Annotated[
    str,
    Query(
        alias="file",
        description="Name of the file, for one ``shelf-tag.toml``: findings name it, and the template should bear it.",
        examples=["shelf-tag.toml"],
        max_length=120,
    ),
]
Damage = Annotated[
    bool,
    Query(
        description="Whether an example of its marks is put to the fixed set of damages, where the template states "
        "floors and nothing else is wrong; that takes some seconds."
    ),
]
_TEXT: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "description": "The template as the TOML text of its file, or as JSON. What is sent as JSON has no lines.",
        "content": {
            "application/toml": {"schema": {"type": "string"}, "example": TEMPLATE_TOML},
            "application/json": {"schema": {"$ref": "#/components/schemas/LabelTemplate"}},
        },
    }
}


def template_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/templates", tags=["shop facts"], responses=RESPONSES)

    @router.get("", response_model=TemplateListAnswer)
    def list_templates() -> TemplateListAnswer:
        """The label templates that the shop has, each with what is wrong with it, and the files that are left out."""
        return templates.list_templates(workshop)

    @router.get("/schema", response_model=SchemaAnswer)
    def schema() -> Response:
        """The JSON Schema of a template, for editors and for other people's checks."""
        return Response(json.dumps(label_template_schema(), ensure_ascii=False), media_type="application/json")

    @router.post("/lint", response_model=TemplateLintAnswer, openapi_extra=_TEXT)
    async def lint(request: Request, file: FileName = "", *, damage: Damage = True) -> TemplateLintAnswer:
        """Everything that is wrong with a template, each finding with its line and field. Nothing is kept."""
        body = await request.body()
        kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        data = _tables(body) if kind == "application/json" else body
        linted = await run_in_threadpool(templates.check_template, workshop, data, source=file, damage=damage)
        return templates.lint_answer(linted)

    @router.get("/{name}", response_model=LabelTemplate)
    def template(name: TemplateName) -> LabelTemplate:
        """One template, every field with its value."""
        return workshop.template(name)

    @router.get("/{name}/sample.png", response_class=Response, responses=answers_file("A sample mark.", "image/png"))
    def sample(name: TemplateName, dpi: Dpi = 203) -> Response:
        """What a mark of this template looks like; number and key on it are invented."""
        return attachment(templates.sample_png(workshop, name, dpi=dpi), "image/png", f"{name}.png", inline=True)

    return router


def _tables(body: bytes) -> Mapping[str, Any]:
    """The object of a JSON body.

    Raises:
        NotJson: it is none.
    """
    try:
        data = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise NotJson(
            f"the body is no JSON ({error})", field="body", value=None, todo="Send one JSON object, or the TOML text"
        ) from error
    if not isinstance(data, dict):
        raise NotJson("the body is no JSON object", field="body", value=None, todo="Send one JSON object")
    return data
