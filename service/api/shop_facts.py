"""The shop desk: the shop's own facts, its code tables, its label templates."""

from __future__ import annotations

from fastapi import APIRouter, Request

from schemas.answers import CodeListAnswer, ShopAnswer, TemplateListAnswer
from schemas.requests import CodeRequest, ShopRequest
from service.api.problems import RESPONSES
from service.api.requests import IdempotencyKey, actor_of, retry_of
from service.work import shop_facts
from service.work.workshop import Workshop


def shop_facts_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop facts"], responses=RESPONSES)

    @router.get("/templates", response_model=TemplateListAnswer)
    def templates() -> TemplateListAnswer:
        """The label templates that the shop has."""
        return shop_facts.list_templates(workshop)

    @router.get("/shop", response_model=ShopAnswer)
    def get_shop() -> ShopAnswer:
        """The shop as it stands on every plate."""
        return shop_facts.shop_facts(workshop)

    @router.put("/shop", response_model=ShopAnswer)
    def put_shop(body: ShopRequest, request: Request) -> ShopAnswer:
        """Change what plates say from now on."""
        return shop_facts.set_shop_facts(workshop, body, actor=actor_of(request))

    @router.get("/codes", response_model=CodeListAnswer)
    def get_codes() -> CodeListAnswer:
        """Every code that a number may hold."""
        return shop_facts.list_codes(workshop)

    @router.post("/codes", status_code=201, response_model=CodeListAnswer)
    def post_code(body: CodeRequest, request: Request, idempotency_key: IdempotencyKey = None) -> CodeListAnswer:
        """Add a code to one of the shop's tables, for good."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return shop_facts.add_code(workshop, body, actor=actor_of(request), retry=retry)

    return router
