"""The ledger: its tip, to be kept elsewhere, and whether it is whole."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query

from schemas.ledger import LedgerAnswer, LedgerTipAnswer
from service.api.problems import RESPONSES
from service.work import verify_ledger
from service.work.workshop import Workshop

MOST_TIPS = 100


def ledger_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/ledger", tags=["ledger"], responses=RESPONSES)

    @router.get("/tip", response_model=LedgerTipAnswer)
    def tip() -> LedgerTipAnswer:
        """The last row of the ledger. Keep it elsewhere: it shows later whether rows were cut off or written again."""
        return verify_ledger.ledger_tip(workshop)

    @router.get("/verification", response_model=LedgerAnswer)
    def verification(
        tip: Annotated[
            list[str] | None,
            Query(
                description="A tip that was kept elsewhere, `<SHA-256>:<row>`; several may be given. Without any, rows "
                "cut off at the end are not seen.",
                examples=[["9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08:1204"]],
                max_length=MOST_TIPS,
            ),
        ] = None,
    ) -> LedgerAnswer:
        """Read every row of the ledger and name those that are not as they were written; 200 whatever it finds."""
        return verify_ledger.verify_ledger(workshop, tips=tip or [])

    return router
