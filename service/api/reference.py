"""The reference of the API as one page, made from the OpenAPI document and the error tree: no network is needed."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from html import escape
from typing import Any

from fastapi import APIRouter, FastAPI
from fastapi.responses import HTMLResponse

from service import errors
from service.api.problems import STATUS
from service.errors import KitwrightError
from service.rules.lint import LINT_RULES, LintRule
from service.rules.template_rules import TEMPLATE_RULES, TemplateRule

_STYLE = """
body{font:16px/1.5 system-ui,sans-serif;max-width:62rem;margin:2rem auto;padding:0 1rem;color:#16302e;background:#fff}
h1,h2{line-height:1.2}h3{margin:1.6rem 0 .3rem;font:600 1rem/1.4 ui-monospace,monospace}
table{border-collapse:collapse;width:100%}td,th{border-top:1px solid #c9d6d3;padding:.35rem .6rem;text-align:left;
vertical-align:top}code{font:.92em ui-monospace,monospace}p{margin:.2rem 0}
"""


def reference_routes(app: FastAPI) -> APIRouter:
    """``/docs`` over the application's own OpenAPI document."""
    router = APIRouter(include_in_schema=False)

    @router.get("/docs")
    def docs() -> HTMLResponse:
        """All calls, then all error codes; each code has an anchor that problem documents point to."""
        return HTMLResponse(
            _page(app.openapi()),
            headers={"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"},
        )

    return router


def _page(document: dict[str, Any]) -> str:
    paths = document["paths"].items()
    calls = "".join(_call(path, method, what) for path, methods in paths for method, what in methods.items())
    codes = "".join(_code(kind) for kind in error_leaves())
    rules = "".join(_rule(name, rule) for name, rule in LINT_RULES.items())
    of_templates = "".join(_rule(name, rule) for name, rule in TEMPLATE_RULES.items())
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Kitwright: calls and errors</title>'
        f'<meta name="viewport" content="width=device-width"><style>{_STYLE}</style></head><body>'
        f"<h1>Kitwright: calls and errors</h1><p>The contract is <a href='/openapi.json'>openapi.json</a>. "
        f"Errors are problem documents after RFC 9457.</p><h2>Calls</h2>{calls}<h2>Error codes</h2>"
        f"<table><thead><tr><th>Code</th><th>Status</th><th>Meaning</th></tr></thead><tbody>{codes}</tbody></table>"
        f"<h2>Rules of the lint</h2><p>A kit or mark that breaks several is answered with the code of the first and "
        f"with a finding for each.</p><table><thead><tr><th>Code</th><th>Level</th><th>Holds to</th></tr></thead>"
        f"<tbody>{rules}</tbody></table>"
        f"<h2>Rules for label templates</h2><table><thead><tr><th>Code</th><th>Level</th><th>Holds to</th></tr></thead>"
        f"<tbody>{of_templates}</tbody></table>"
        "</body></html>"
    )


def _call(path: str, method: str, what: dict[str, Any]) -> str:
    rows = "".join(
        f"<tr><td><code>{escape(parameter['name'])}</code></td><td>{escape(parameter['in'])}</td>"
        f"<td>{escape(parameter.get('description', ''))}</td></tr>"
        for parameter in what.get("parameters", ())
    )
    table = f"<table><tbody>{rows}</tbody></table>" if rows else ""
    words = escape(what.get("description", what.get("summary", "")))
    return f"<h3>{method.upper()} {escape(path)}</h3><p>{words}</p>{table}"


def _code(kind: type[KitwrightError]) -> str:
    status = next((status for base, status in STATUS if issubclass(kind, base)), 500)
    words = escape(" ".join((inspect.getdoc(kind) or "").split()))
    return f'<tr id="{kind.code}"><td><code>{kind.code}</code></td><td>{status}</td><td>{words}</td></tr>'


def _rule(name: str, rule: LintRule | TemplateRule) -> str:
    return f'<tr id="{name}"><td><code>{name}</code></td><td>{rule.level}</td><td>{escape(rule.sentence)}</td></tr>'


def error_leaves() -> Iterator[type[KitwrightError]]:
    """The errors that are raised, in the order of the tree."""
    for kind in vars(errors).values():
        if inspect.isclass(kind) and issubclass(kind, KitwrightError) and not kind.__subclasses__():
            yield kind
