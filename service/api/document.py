"""The OpenAPI document: what the framework makes of the routes, with what it cannot know added by hand."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI

from schemas.examples import EXAMPLES
from schemas.manifest import KitManifest
from schemas.problem import Problem

TAGS: list[dict[str, Any]] = [
    {"name": "floor and desk", "description": "What a mark says, and everything on record about one segment."},
    {"name": "shop", "description": "Kits: prepared, issued, corrected, printed, engraved."},
    {"name": "cut files", "description": "Cut files and their revisions; released bytes never change."},
    {"name": "desk", "description": "One broken segment is ordered again, cut to the revision that still locks."},
    {
        "name": "damage reports",
        "description": "What a caller says and shows of a broken piece, written down as it is said, and what the desk "
        "makes of it.",
    },
    {
        "name": "orders",
        "description": "How far orders are, from reported to fitted, and open work for the shop's own planning.",
    },
    {
        "name": "webhooks",
        "description": "The shop's own programs are told of every step of an order: signed, and tried again until they "
        "take it.",
    },
    {
        "name": "machines",
        "description": "Where machines stand and stood, what was measured at them, and plants and lines by every name "
        "they ever had.",
    },
    {
        "name": "sets and pieces",
        "description": "A kit that is made again, pieces one by one or as a count, parts that serve several kits, and "
        "kits out of use.",
    },
    {
        "name": "ledger",
        "description": "Every fact that changes an identity, each row chained to the one before it.",
    },
    {
        "name": "legacy marks",
        "description": "Old numbers, hand-written names and purchase-order lines that find a thing; nothing is "
        "renumbered.",
    },
    {"name": "printers", "description": "Printers that speak IPP: what one can do, and what it is given."},
    {"name": "shop facts", "description": "What every plate says of the shop, its code tables, its label templates."},
    {"name": "operations", "description": "For whoever runs the service."},
]
OPEN = ("/healthz", "/readyz")
REFERENCE = "#/components/schemas/{model}"


def document_by_hand(app: FastAPI) -> None:
    """Make the application's document whole: models that the framework does not see, examples, who gets in."""
    made = app.openapi

    def openapi() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = _whole(made())
        return app.openapi_schema

    app.openapi = openapi  # type: ignore[method-assign]  # the documented way to extend the document


def _whole(document: dict[str, Any]) -> dict[str, Any]:
    schemas = document["components"]["schemas"]
    # The manifest is read from raw bytes, and a problem is answered by handlers: no route declares them.
    for model in (KitManifest, Problem):
        schema = model.model_json_schema(ref_template=REFERENCE)
        schemas.update(schema.pop("$defs", {}))
        schemas[model.__name__] = schema
    for name, example in EXAMPLES.items():
        if name in schemas:
            schemas[name]["examples"] = [example]
    document["components"]["securitySchemes"] = {
        "owner key": {
            "type": "http",
            "scheme": "bearer",
            "description": "The owner key. A service that listens on loopback and has none asks for none.",
        }
    }
    document["security"] = [{"owner key": []}, {}]
    for path in OPEN:
        for operation in document["paths"][path].values():
            operation["security"] = []
    return document
