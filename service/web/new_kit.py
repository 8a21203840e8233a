"""The shop desk's way from a manifest to an issued kit: paste or upload, look at the numbers, issue."""

from __future__ import annotations

import json
from functools import cache
from typing import Annotated

from fastapi import APIRouter, File, Form, Request, Response, UploadFile

from schemas.answers import KitAnswer
from schemas.manifest_examples import MANIFEST
from schemas.manifest_reading import read_manifest
from service.errors import BadRequest, KitwrightError, TooLarge
from service.web.front import OWNER, Front, go, new_retry_key
from service.web.pages import page
from service.web.shop_views import Prepared, PreparedSegment
from service.web.views import Form as FormView
from service.web.views import Number, Sentence
from service.work.issue import issue_kit
from service.work.once import Retry
from service.work.prepare import prepare_kit

MOST_BYTES = 4_000_000
"""A manifest of a thousand segments has some 300 kB."""

EXAMPLE_TABLE = """\
plant.code,OSV
plant.name,Ostrey Vale
plant.customer,Tarnquill Waters
line.ordinal,4
machine.class,FC
machine.ordinal,1
machine.rotation,clockwise
container.code,A500
container.name,tall round 500 mL
container.nominal,500
container.unit,mL
stock_colour,green

assembly,assembly_name,deck,ordinal,cut_file,revision,material,thickness_mm,quantity,hand,joints
SW2,discharge star wheel,U,3,osv4-fc1-a500-sw2-u3.dxf,B,UHMW-PE,25,1,,SW2-U4 dovetail 0.15
SW2,discharge star wheel,U,4,osv4-fc1-a500-sw2-u4.dxf,B,UHMW-PE,25,1,,
"""


def new_kit_routes(front: Front) -> APIRouter:
    """``/shop/new-kit``, ``/shop/prepare`` and ``/shop/issue``."""
    routes = front.routes()
    workshop = front.workshop

    def form_page(request: Request, form: FormView, *, status: int = 200) -> Response:
        return page(
            "shop_new_kit.html",
            who=front.who(request),
            desk="/shop",
            status=status,
            form=form,
            example_json=example_document(),
            example_csv=EXAMPLE_TABLE,
        )

    @routes.get("/shop/new-kit")
    def new_kit(request: Request) -> Response:
        front.inside(request)
        return form_page(request, FormView())

    @routes.post("/shop/prepare")
    def prepare(
        request: Request,
        manifest_file: Annotated[UploadFile | None, File()] = None,
        manifest: Annotated[str, Form()] = "",
    ) -> Response:
        front.inside(request)
        text = manifest
        try:
            data = _sent(manifest_file, manifest)
            text = data.decode(errors="replace")
            answer = prepare_kit(workshop, read_manifest(data))
        except KitwrightError as error:
            problem = front.problem(error)
            return form_page(request, FormView({"manifest": text}, problem), status=problem.status)
        return page("shop_prepared.html", who=front.who(request), desk="/shop", view=_prepared(answer, text))

    @routes.post("/shop/issue")
    def issue(
        request: Request,
        manifest: Annotated[str, Form()] = "",
        token: Annotated[str, Form(max_length=200)] = "",
        retry_key: Annotated[str, Form(max_length=200)] = "",
    ) -> Response:
        front.inside(request)
        data = manifest.encode()
        try:
            answer = issue_kit(
                workshop,
                read_manifest(data),
                token=token or None,
                actor=OWNER,
                retry=Retry.of(retry_key, "POST /shop/issue", data),
            )
        except KitwrightError as error:
            problem = front.problem(error)
            return form_page(request, FormView({"manifest": manifest}, problem), status=problem.status)
        return go(f"/shop/kits/{answer.number}")

    return routes


@cache
def example_document() -> str:
    """The example that stands in the reference of the API too, as JSON text."""
    return json.dumps(MANIFEST, indent=1, ensure_ascii=False)


def _sent(file: UploadFile | None, text: str) -> bytes:
    """The bytes of the manifest: the chosen file, otherwise what was pasted."""
    data = file.file.read(MOST_BYTES + 1) if file is not None and file.filename else text.encode()
    if len(data) > MOST_BYTES:
        raise TooLarge(
            f"it has more than {MOST_BYTES:,} bytes",
            field="manifest",
            value=file.filename if file is not None else None,
            todo="Send one kit in one manifest",
        )
    if not data.strip():
        raise BadRequest("no manifest was given", field="manifest", value=None, todo="Choose its file or paste it")
    return data


def _prepared(answer: KitAnswer, text: str) -> Prepared:
    """A prepared kit as the page shows it."""
    return Prepared(
        kit=answer.number,
        container=answer.container,
        segments=tuple(
            PreparedSegment(
                number=Number(row.number),
                assembly=row.assembly,
                cut_file=row.cut_file,
                revision=row.revision,
                material=row.material,
                thickness_mm=row.thickness_mm,
                mass_kg=row.mass_kg,
                quantity=row.quantity,
                hand=row.hand or "",
                shared=row.status == "shared",
            )
            for row in answer.segments
        ),
        findings=tuple(Sentence.of_answer(finding) for finding in answer.findings),
        token=answer.token or "",
        manifest=text,
        retry_key=new_retry_key(),
    )
