"""The shop desk: the shop's printers, and what one of them can do just now."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query

from schemas.answers.printers import PrinterAnswer, PrinterListAnswer
from service.api.problems import PRINTER_FAULTS, RESPONSES
from service.api.requests import Dpi, PaperKind
from service.work import printers
from service.work.workshop import Workshop

PrinterName = Annotated[str, Path(description="What the shop calls the printer.", examples=["bench"], alias="printer")]


def printer_routes(workshop: Workshop) -> APIRouter:
    """The routes over one workshop."""
    router = APIRouter(prefix="/api/printers", tags=["printers"], responses=RESPONSES)

    @router.get("", response_model=PrinterListAnswer)
    def list_printers() -> PrinterListAnswer:
        """The printers that the shop has named; jobs go to no other."""
        return printers.list_printers(workshop)

    @router.get("/{printer}", response_model=PrinterAnswer, responses=PRINTER_FAULTS)
    def ask_printer(
        printer: PrinterName,
        template: Annotated[
            str | None,
            Query(
                description="A label template: the answer says how its marks would go to the printer, or why not.",
                examples=["nameplate-60x22"],
            ),
        ] = None,
        paper: PaperKind = "roll",
        dpi: Dpi = 203,
    ) -> PrinterAnswer:
        """Ask the printer what it can do and how it is, and whether marks of a template can go to it."""
        return printers.ask_printer(workshop, printer, template=template, paper=paper, dpi=dpi)

    return router
