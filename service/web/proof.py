"""Proving the marks of a finished set: scan after scan, with a list of what is still open."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response

from schemas.faults import checked
from schemas.inspections import InspectionAnswer, InspectionRequest, ProofAnswer, ProofRowAnswer
from service.errors import KitwrightError
from service.web.front import OWNER, Front
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Number
from service.work.prove import prove_marks, show_proof
from service.work.sets import list_sets

Words = Annotated[str, Form(max_length=512)]
MOST = 2**31 - 1


@dataclass(frozen=True, slots=True)
class ProofRow:
    """One piece of the set."""

    number: Number
    facts: ProofRowAnswer


@dataclass(frozen=True, slots=True)
class ProofPage:
    """The page of a set on the bench; ``last`` is what the scan just now found."""

    facts: ProofAnswer
    rows: tuple[ProofRow, ...]
    sets: tuple[int, ...]
    last: InspectionAnswer | None
    last_number: Number | None
    form: FormView


def proof_routes(front: Front) -> APIRouter:
    """``/shop/kits/…/proof``."""
    routes = front.routes()

    @routes.get("/shop/kits/{kit}/proof")
    def proof(
        request: Request, kit: str, set_number: Annotated[int, Query(alias="set", ge=1, le=MOST)] = 1
    ) -> Response:
        front.inside(request)
        return _page(front, request, kit, set_number)

    @routes.post("/shop/kits/{kit}/proof")
    def scanned(
        request: Request,
        kit: str,
        *,
        plate: Words = "",
        engraving: Words = "",
        engraved_revision: Words = "",
        thickness_mm: Words = "",
        material_batch: Words = "",
        set_number: Annotated[int, Form(alias="set", ge=1, le=MOST)] = 1,
    ) -> Response:
        front.inside(request)
        typed = {
            "plate": plate.strip(),
            "engraving": engraving.strip(),
            "engraved_revision": engraved_revision.strip(),
            "thickness_mm": thickness_mm.strip().replace(",", "."),
            "material_batch": material_batch.strip(),
        }
        try:
            given = {name: value for name, value in typed.items() if value}
            asked = checked(InspectionRequest, {**given, "set": set_number})
            found = prove_marks(front.workshop, kit, asked, actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return _page(front, request, kit, set_number, form=FormView(typed, problem), status=problem.status)
        # The batch is the sheet's: it stays in its field for the next piece.
        return _page(front, request, kit, set_number, last=found, form=FormView({"material_batch": material_batch}))

    return routes


def _page(
    front: Front,
    request: Request,
    kit: str,
    set_number: int,
    *,
    last: InspectionAnswer | None = None,
    form: FormView | None = None,
    status: int = 200,
) -> Response:
    facts = show_proof(front.workshop, kit, set_number=set_number)
    view = ProofPage(
        facts=facts,
        rows=tuple(ProofRow(Number(row.number), row) for row in facts.pieces),
        sets=tuple(one.set for one in list_sets(front.workshop, kit).sets),
        last=last,
        last_number=Number(last.number) if last else None,
        form=form or FormView(),
    )
    return page("shop_proof.html", who=front.who(request), desk="/shop", status=status, view=view)
