"""Proving the marks of a finished set."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request

from schemas.inspections import InspectionAnswer, InspectionRequest, ProofAnswer
from service.api.problems import RESPONSES
from service.api.requests import MOST_ID, IdempotencyKey, KitNumber, actor_of, retry_of
from service.work.prove import prove_marks, show_proof
from service.work.workshop import Workshop

OfSet = Annotated[int, Query(alias="set", ge=1, le=MOST_ID, description="The set on the bench.", examples=[1])]


def proof_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.post("/kits/{kit}/inspections", status_code=201, response_model=InspectionAnswer)
    def post_inspection(
        kit: KitNumber, body: InspectionRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> InspectionAnswer:
        """Hold what was read off a finished piece against the records, and keep the verdict."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return prove_marks(workshop, kit, body, actor=actor_of(request), retry=retry)

    @router.get("/kits/{kit}/inspections", response_model=ProofAnswer)
    def get_proof(kit: KitNumber, set_number: OfSet = 1) -> ProofAnswer:
        """How far the marks of a set are proved: what is right, wrong and open."""
        return show_proof(workshop, kit, set_number=set_number)

    return router
