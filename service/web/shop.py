"""The shop desk: the list of kits, the page of a kit, its marks and its engraving, and mending what was mistyped."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Literal
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Request, Response

from schemas.answers import KitSegmentAnswer
from service.web.desk import segment_page
from service.web.front import OWNER, Front, download, download_file, new_retry_key
from service.web.pages import page
from service.web.shop_views import AssemblyRows, KitCard, KitList, KitRow, SegmentRow, TemplateChoice
from service.web.views import Colour, Number, Page, Picture
from service.web.views import Form as FormView
from service.work.book import BookPaper, kit_book
from service.work.engrave import engrave_kit
from service.work.plan import kit_plan
from service.work.print_marks import DEFAULT_DPI, DEFAULT_TEMPLATE, kit_file
from service.work.sets import list_sets
from service.work.shop_facts import shop_facts
from service.work.show_kit import kit_version, list_kits, show_kit
from service.work.workshop import Workshop

PAGE_SIZE = 50
PLAN_PX = 1200.0
"""How wide the plan of a whole kit is drawn; a desk screen shows it about so."""

SetNumber = Annotated[str, Form(alias="set", max_length=6)]
StartCell = Annotated[int, Form(ge=1, le=10_000)]
Override = Annotated[str, Form(max_length=240)]

CORRECTABLE = (
    ("hand", "Hand (LEFT or RIGHT)"),
    ("material", "Material"),
    ("thickness_mm", "Thickness in mm"),
    ("measured_thickness_mm", "Measured thickness in mm"),
    ("stock_colour", "Stock colour"),
    ("marked_face", "Marked face"),
    ("cut_file", "Cut file"),
    ("revision", "Revision"),
)
"""The facts of a segment that may be corrected while no mark bears them, and their words."""


def shop_routes(front: Front) -> APIRouter:
    """``/shop`` and ``/shop/kits/…``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/shop")
    def kits(request: Request, after: Annotated[str, Query(max_length=64)] = "") -> Response:
        who = front.inside(request)
        return page("shop_kits.html", who=who, desk="/shop", view=_list(workshop, after or None))

    @routes.get("/shop/kits/{kit}")
    def one_kit(request: Request, kit: str) -> Response:
        front.inside(request)
        return kit_page(front, request, kit, FormView())

    @routes.post("/shop/kits/{kit}/nameplates.pdf")
    def nameplates(
        request: Request,
        kit: str,
        template: Annotated[str, Form(max_length=80)] = DEFAULT_TEMPLATE,
        paper: Annotated[Literal["roll", "a4", "letter"], Form()] = "roll",
        dpi: Annotated[int, Form()] = DEFAULT_DPI,
        set_number: SetNumber = "",
        start_cell: StartCell = 1,
        override: Override = "",
    ) -> Response:
        front.inside(request)
        file = kit_file(
            workshop,
            kit,
            template=template,
            paper=paper,
            dpi=dpi,
            start_cell=start_cell,
            set_number=int(set_number) if set_number.isdecimal() else None,
            override=override,
            actor=OWNER,
        )
        return download_file(file, media_type="application/pdf", name=f"{kit} {template}.pdf", inline=True)

    @routes.post("/shop/kits/{kit}/engraving.zip")
    def engraving(request: Request, kit: str, set_number: SetNumber = "", override: Override = "") -> Response:
        front.inside(request)
        number = int(set_number) if set_number.isdecimal() else None
        data = engrave_kit(workshop, kit, set_number=number, override=override, actor=OWNER)
        return download(data, media_type="application/zip", name=f"{kit} engraving.zip")

    @routes.get("/shop/kits/{kit}/book.pdf")
    def book(request: Request, kit: str, paper: BookPaper = "a4") -> Response:
        front.inside(request)
        data = kit_book(workshop, kit, paper=paper)
        return download(data, media_type="application/pdf", name=f"{kit} book.pdf", inline=True)

    return routes


def kit_page(front: Front, request: Request, kit: str, form: FormView, *, status: int = 200) -> Response:
    """The page of a kit, with what a mending form had in it when it came back with a problem."""
    return page(
        "shop_kit.html",
        who=front.who(request),
        desk="/shop",
        status=status,
        view=kit_card(front.workshop, kit, form),
        correctable=CORRECTABLE,
    )


def kit_card(workshop: Workshop, kit: str, form: FormView) -> KitCard:
    """Everything on record about a kit."""
    facts = show_kit(workshop, kit)
    return KitCard(
        facts=facts,
        colour=Colour.of(facts.stock_colour),
        assemblies=by_assembly(facts.segments, facts.stock_colour),
        plan=Picture.inline(kit_plan(workshop, facts.number, width_px=PLAN_PX, href=segment_page)),
        templates=tuple(
            TemplateChoice(template.name, template.title, template.name == DEFAULT_TEMPLATE)
            for template in sorted(workshop.templates.values(), key=lambda one: one.width_mm * one.height_mm)
        ),
        version=kit_version(workshop, facts.number),
        form=form,
        sets=list_sets(workshop, facts.number).sets,
        retry_key=new_retry_key(),
        printers=tuple(workshop.printers),
    )


def by_assembly(segments: Iterable[KitSegmentAnswer], kit_colour: str) -> tuple[AssemblyRows, ...]:
    """The segments under their assemblies, in the order in which they come."""
    groups: dict[tuple[str, str], list[SegmentRow]] = {}
    for segment in segments:
        code = segment.place.partition("-")[0]
        differs = segment.stock_colour != kit_colour
        row = SegmentRow(Number(segment.number), segment, Colour.of(segment.stock_colour) if differs else None)
        groups.setdefault((code, segment.assembly), []).append(row)
    return tuple(AssemblyRows(code, name, tuple(rows)) for (code, name), rows in groups.items())


def _list(workshop: Workshop, after: str | None) -> KitList:
    rows = list_kits(workshop, after=after, limit=PAGE_SIZE + 1).kits
    shown = rows[:PAGE_SIZE]
    shop = shop_facts(workshop)
    return KitList(
        kits=tuple(KitRow(row, Colour.of(row.stock_colour)) for row in shown),
        page=Page(
            next_url=f"/shop?after={quote(shown[-1].number)}" if len(rows) > PAGE_SIZE else None,
            first_url="/shop" if after else None,
        ),
        plates_name_the_shop=bool(shop.name and shop.telephone),
    )
