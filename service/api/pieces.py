"""Sets, pieces, shared parts and retired kits."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response

from schemas.answers import KitAnswer
from schemas.pieces import (
    DeviationRequest,
    PieceOnRecordAnswer,
    PiecesAnswer,
    RetirementRequest,
    ScrapCountRequest,
    ScrapRequest,
    SetAnswer,
    SetListAnswer,
    SetRequest,
    ShareRequest,
    TrackRequest,
    UnshareRequest,
)
from service.api.problems import RESPONSES
from service.api.requests import IdempotencyKey, KitNumber, Mark, actor_of, retry_of
from service.work.make_set import make_set, prepare_set
from service.work.retire import retire_kit
from service.work.scrap import record_deviation, scrap_counted, scrap_piece
from service.work.sets import list_sets
from service.work.share import share_segment, unshare_segment
from service.work.track_pieces import show_piece, track_pieces
from service.work.workshop import Workshop

PieceKey = Annotated[
    str,
    Path(alias="key", description="Key of the piece, or anything on it that holds the key.", examples=["P3HW-9TCP"]),
]


def piece_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["sets and pieces"], responses=RESPONSES)

    @router.post(
        "/kits/{kit}/sets",
        status_code=201,
        response_model=SetAnswer,
        responses={200: {"model": SetAnswer, "description": "Prepared: revisions and findings; nothing is made."}},
    )
    def post_set(
        kit: KitNumber,
        body: SetRequest,
        request: Request,
        response: Response,
        *,
        prepare_only: Annotated[bool, Query(alias="prepare", description="A dry run that makes nothing.")] = False,
        idempotency_key: IdempotencyKey = None,
    ) -> SetAnswer:
        """Make a kit again: same numbers, own pieces with own keys, every joint of the set locks."""
        if prepare_only:
            response.status_code = 200
            return prepare_set(workshop, kit, body)
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return make_set(workshop, kit, body, actor=actor_of(request), retry=retry)

    @router.get("/kits/{kit}/sets", response_model=SetListAnswer)
    def get_sets(kit: KitNumber) -> SetListAnswer:
        """The sets of a kit: what is fitted, on order, scrapped and missing."""
        return list_sets(workshop, kit)

    @router.post("/kits/{kit}/shared", response_model=KitAnswer)
    def post_shared(
        kit: KitNumber, body: ShareRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> KitAnswer:
        """A segment of another kit serves this one too: one number, its first kit's."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return share_segment(workshop, kit, body, actor=actor_of(request), retry=retry)

    @router.post("/kits/{kit}/unshared", response_model=KitAnswer)
    def post_unshared(
        kit: KitNumber, body: UnshareRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> KitAnswer:
        """It serves this kit no more; the journal keeps that it did."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return unshare_segment(workshop, kit, body, actor=actor_of(request), retry=retry)

    @router.post("/kits/{kit}/retirement", response_model=KitAnswer)
    def post_retirement(
        kit: KitNumber, body: RetirementRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> KitAnswer:
        """Take a kit out of use for good; refused, naming them, when other kits lean on its segments."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return retire_kit(workshop, kit, body, actor=actor_of(request), retry=retry)

    @router.post("/segments/{number}/pieces", status_code=201, response_model=PiecesAnswer)
    def post_tracked(
        number: Mark, body: TrackRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PiecesAnswer:
        """Some pieces of a count get keys of their own; their as-built revision stays."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return track_pieces(workshop, number, body, actor=actor_of(request), retry=retry)

    @router.post("/segments/{number}/scrapped", response_model=PiecesAnswer)
    def post_scrapped_of_count(
        number: Mark, body: ScrapCountRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PiecesAnswer:
        """Some pieces of a count are in use no more; they stay on record with what happened to them."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return scrap_counted(workshop, number, body, actor=actor_of(request), retry=retry)

    @router.get("/pieces/{key}", response_model=PieceOnRecordAnswer)
    def get_piece(key: PieceKey) -> PieceOnRecordAnswer:
        """What is on record about one piece, whatever became of it."""
        return show_piece(workshop, key)

    @router.post("/pieces/{key}/scrapped", response_model=PieceOnRecordAnswer)
    def post_scrapped(
        key: PieceKey, body: ScrapRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PieceOnRecordAnswer:
        """The piece is in use no more; it stays on record with what happened to it."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return scrap_piece(workshop, key, body, actor=actor_of(request), retry=retry)

    @router.post("/pieces/{key}/deviations", response_model=PieceOnRecordAnswer)
    def post_deviation(
        key: PieceKey, body: DeviationRequest, request: Request, idempotency_key: IdempotencyKey = None
    ) -> PieceOnRecordAnswer:
        """Rework that was done to the piece on site, added to what is on record."""
        retry = retry_of(request, idempotency_key, body.model_dump_json().encode())
        return record_deviation(workshop, key, body, actor=actor_of(request), retry=retry)

    return router
