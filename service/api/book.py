"""The paper book of a kit over HTTP."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Response

from service.api.problems import RESPONSES
from service.api.requests import KitNumber, answers_file, attachment
from service.work.book import BookPaper, kit_book
from service.work.workshop import Workshop

Paper = Annotated[BookPaper, Query(description="The paper that it is set for: A4 or Letter.", examples=["a4"])]
_BOOK = answers_file("The book of the kit, one file for all of its parts.", "application/pdf")


def book_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)

    @router.get("/kits/{kit}/book.pdf", response_class=Response, responses=_BOOK)
    def book(kit: KitNumber, paper: Paper = "a4") -> Response:
        """Everything that resolves a part of this kit without this service; every page carries a check value."""
        data = kit_book(workshop, kit, paper=paper)
        return attachment(data, "application/pdf", f"{kit.upper()} book.pdf", inline=True)

    return router
