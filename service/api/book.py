"""The paper book of a kit over HTTP."""

from __future__ import annotations

from fastapi import APIRouter, Response

from service.api.problems import RESPONSES
from service.api.requests import attachment
from service.work.book import BookPaper, kit_book
from service.work.workshop import Workshop


def book_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.get("/kits/{kit}/book.pdf", response_class=Response)
    def book(kit: str, paper: BookPaper = "a4") -> Response:
        """Everything that resolves a part of this kit without this service; every page carries a check value."""
        data = kit_book(workshop, kit, paper=paper)
        return attachment(data, "application/pdf", f"{kit.upper()} book.pdf", inline=True)

    return router
