"""Legacy marks: put on record one by one or from a table, looked for by a part, marked wrong."""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from schemas.alias_table import EXAMPLE
from schemas.aliases import AliasRequest, AliasWrongRequest
from schemas.answers.aliases import AliasAnswer, AliasKind, AliasListAnswer, ImportAnswer
from schemas.text import Printable
from service.api.problems import RESPONSES
from service.api.requests import MOST_ID, IdempotencyKey, PageSize, actor_of, retry_of
from service.errors import TooLarge
from service.work import aliases
from service.work.import_marks import MOST_BYTES, import_marks
from service.work.workshop import Workshop

AliasId = Annotated[int, Path(description="Id of the legacy mark.", examples=[12], alias="alias_id", ge=1, le=MOST_ID)]
Text = Annotated[
    Printable | None,
    Query(
        description="Only marks that hold this anywhere; letter case, blanks, dashes, punctuation and accents do not "
        "count.",
        examples=["betty"],
        min_length=1,
        max_length=120,
    ),
]
Kind = Annotated[AliasKind | None, Query(description="Only marks of things of this sort.", examples=["machine"])]
Of = Annotated[
    Printable | None,
    Query(
        description="Only marks of this one thing, designated as when a mark is put on record; its sort is seen from "
        "how it is written unless ``kind`` says it.",
        examples=["OSV4-FC1"],
        min_length=1,
        max_length=512,
    ),
]
After = Annotated[
    int | None, Query(description="Id of the last mark of the page before.", examples=[50], ge=1, le=MOST_ID)
]
_TABLE: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "description": "A table with a header; the columns are mark, kind, of (or number, or key), kit, place, source "
        "and note.",
        "content": {"text/csv": {"schema": {"type": "string"}, "example": EXAMPLE}},
    }
}


def alias_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/aliases", tags=["legacy marks"], responses=RESPONSES)

    @router.post("", status_code=201, response_model=AliasAnswer)
    def post_alias(body: AliasRequest, request: Request, idempotency_key: IdempotencyKey = None) -> AliasAnswer:
        """Put a legacy mark on record, beside the number; from now on it finds the thing."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return aliases.add_alias(workshop, body, actor=actor_of(request), retry=retry)

    @router.get("", response_model=AliasListAnswer)
    def list_aliases(
        response: Response,
        *,
        text: Text = None,
        kind: Kind = None,
        of: Of = None,
        after: After = None,
        limit: PageSize = 50,
    ) -> AliasListAnswer:
        """Legacy marks by a part of their text, or of one thing; the header ``Link`` leads to the next page."""
        found = aliases.list_aliases(workshop, text=text, kind=kind, of=of, after=after or 0, limit=limit + 1)
        page = found.aliases[:limit]
        if len(found.aliases) > limit:
            asked = {"text": text, "kind": kind, "of": of, "after": page[-1].id, "limit": limit}
            query = urlencode({name: value for name, value in asked.items() if value is not None})
            response.headers["Link"] = f'</api/aliases?{query}>; rel="next"'
        return AliasListAnswer(aliases=page)

    @router.post("/import", response_model=ImportAnswer, openapi_extra=_TABLE)
    async def post_import(
        request: Request,
        *,
        prepare_only: Annotated[
            bool, Query(alias="prepare", description="Dry run: the same report, nothing goes in.")
        ] = False,
        idempotency_key: IdempotencyKey = None,
    ) -> ImportAnswer:
        """Put a table of legacy marks on record: every line that can go in does, the others are named with the reason.

        The same table sent again changes nothing.
        """
        data = await request.body()
        if len(data) > MOST_BYTES:
            raise TooLarge(
                f"a table of marks has at most {MOST_BYTES:,} bytes",
                field="body",
                value=len(data),
                todo="Send it in parts",
            )
        retry = retry_of(request, idempotency_key, data)
        return await run_in_threadpool(
            import_marks, workshop, data, prepare_only=prepare_only, actor=actor_of(request), retry=retry
        )

    @router.post("/{alias_id}/wrong", response_model=AliasAnswer)
    def post_wrong(
        alias_id: AliasId, body: AliasWrongRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> AliasAnswer:
        """Mark a legacy mark wrong: it stays on record, with the reason, and finds nothing any more."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return aliases.mark_alias_wrong(workshop, alias_id, body, actor=actor_of(request), retry=retry)

    return router
