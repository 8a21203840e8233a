"""The shop desk: the shop's own facts and its code tables."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from schemas.answers import CodeCheckAnswer, CodeListAnswer, ShopAnswer
from schemas.requests import CodeRequest, ShopRequest
from service.api.problems import EDITS, RESPONSES
from service.api.requests import IdempotencyKey, IfMatch, actor_of, etag, if_match, retry_of
from service.work import shop_facts
from service.work.check_code import CodeKind, check_code
from service.work.seen import tag_of
from service.work.workshop import Workshop


def shop_facts_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop facts"], responses=RESPONSES)

    @router.get("/shop", response_model=ShopAnswer)
    def get_shop(response: Response) -> ShopAnswer:
        """The shop as it stands on every plate. The ETag stands for this state."""
        answer = shop_facts.shop_facts(workshop)
        response.headers.update(etag(tag_of(answer)))
        return answer

    @router.put("/shop", response_model=ShopAnswer, responses=EDITS)
    def put_shop(
        body: ShopRequest, request: Request, response: Response, if_match_header: IfMatch = None
    ) -> ShopAnswer:
        """Change what plates say from now on."""
        seen = if_match(if_match_header)
        answer = shop_facts.set_shop_facts(workshop, body, seen=seen, actor=actor_of(request))
        response.headers.update(etag(tag_of(answer)))
        return answer

    @router.get("/codes", response_model=CodeListAnswer)
    def get_codes() -> CodeListAnswer:
        """Every code that a number may hold."""
        return shop_facts.list_codes(workshop)

    @router.get("/codes/check", response_model=CodeCheckAnswer)
    def get_check(
        kind: Annotated[CodeKind, Query(description="What the code would name.", examples=["container"])],
        code: Annotated[
            str, Query(description="The code, in any letter case.", examples=["N500"], min_length=1, max_length=12)
        ],
        plant: Annotated[
            str | None,
            Query(
                description="Code of the plant. A container needs it; without it an assembly is compared with the "
                "whole table. A plant is compared with all of the shop.",
                examples=["OSV"],
                max_length=4,
            ),
        ] = None,
    ) -> CodeCheckAnswer:
        """How a new code would stand beside those in use: its nearest rivals, and free codes that are farther."""
        return check_code(workshop, kind=kind, code=code, plant=plant)

    @router.post("/codes", status_code=201, response_model=CodeListAnswer)
    def post_code(body: CodeRequest, request: Request, idempotency_key: IdempotencyKey = None) -> CodeListAnswer:
        """Add a code to one of the shop's tables, for good."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return shop_facts.add_code(workshop, body, actor=actor_of(request), retry=retry)

    return router
