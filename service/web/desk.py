"""The service desk: one field for any mark, and the page of a segment."""

from __future__ import annotations

from collections.abc import Collection
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form, Query, Request, Response

from schemas.answers import EventAnswer, ReadAnswer
from service.errors import KitUnknown, KitwrightError
from service.web.call_state import Call
from service.web.call_words import CAME_BY
from service.web.desk_views import EventLine, Neighbour, SegmentCard, repair_words
from service.web.front import OWNER, Front, download, go, new_retry_key
from service.web.order_views import Waiting
from service.web.pages import page
from service.web.readings import not_settled
from service.web.router_programs import engraving_tools
from service.web.views import Colour, Number, Picture
from service.web.views import Form as FormView
from service.work.damage_reports import list_reports
from service.work.engrave import engrave_segment, preview_engraving
from service.work.history import history
from service.work.nameplate_data import nameplate_data
from service.work.open_work import open_work
from service.work.plan import kit_plan, segment_picture
from service.work.print_marks import print_segment
from service.work.read import read_mark
from service.work.resolve import resolve_mark
from service.work.show_kit import show_kit
from service.work.workshop import Workshop

Override = Annotated[str, Form(max_length=240)]
MarkText = Annotated[str, Query(max_length=512)]

PLAN_PX = 760.0
"""How wide the plan of one assembly is drawn."""

KIT_HYPHENS = 2
"""The number of a kit has three groups, that of a segment six."""

REPORTS_LOOKED_AT = 100
REPORTS_SHOWN = 8
"""Of the newest damage reports so many are looked at, and so many without an order are shown."""

EVENT_WORDS = {
    "prepare": "passed the lint",
    "issue": "issued",
    "print": "plate",
    "engrave": "engraving",
    "bind": "the plate is proved on its piece",
    "inspect": "looked at again",
    "damage": "damaged",
    "reorder": "ordered again",
    "decide fit": "record and outlines contradicted each other; somebody decided which to follow",
    "fitted": "the new piece is fitted",
    "cancelled": "the reorder is cancelled",
    "correct": "corrected",
    "move": "moved",
    "survey": "surveyed",
    "same interface": "recorded as the same as another machine",
    "check": "held against the machine, still fits",
    "void": "given up, the number is spent",
    "make set": "a further set was made",
    "track": "pieces were given keys of their own",
    "scrap": "scrapped",
    "rework": "reworked on site",
    "share": "stays on for a further kit",
    "unshare": "serves that kit no more",
    "retire": "retired",
    "alias": "a legacy mark was put on record",
    "alias wrong": "a legacy mark was marked wrong",
    "import marks": "legacy marks were imported",
    "override": "done although the kit is retired",
}


def desk_routes(front: Front) -> APIRouter:
    """``/desk`` and ``/desk/segments/…``."""
    routes = front.routes()
    workshop = front.workshop

    @routes.get("/desk")
    def desk(request: Request, mark: MarkText = "", came_by: MarkText = "") -> Response:
        who = front.inside(request)
        call = Call(mark=mark.strip(), came_by=came_by.strip())
        if not call.mark:
            return page("desk.html", who=who, desk="/desk", came_by=CAME_BY, waiting=_waiting(workshop))
        try:
            said = read_mark(workshop, mark)
        except KitwrightError:
            # Half a mark, or none that anybody could print: whoever can say more is asked on.
            return go(call.address)
        if said.outcome in ("exact", "repaired"):
            return go(segment_address(workshop, said, mark))
        if said.outcome == "unknown" and (kit := _kit(workshop, mark)) is not None:
            return go(f"/shop/kits/{quote(kit)}")
        view = not_settled(workshop, mark, said)
        if view.called_so:
            return page("reading.html", who=who, desk="/desk", on_floor=False, view=view)
        return go(call.address)

    @routes.get("/desk/segments/{number}")
    def segment(request: Request, number: str, mark: MarkText = "") -> Response:
        who = front.inside(request)
        view = segment_card(workshop, number, mark=mark, form=FormView())
        return page("segment.html", who=who, desk="/desk", view=view)

    @routes.post("/desk/segments/{number}/nameplate.pdf")
    def nameplate(request: Request, number: str, override: Override = "") -> Response:
        front.inside(request)
        data = print_segment(workshop, number, form="pdf", override=override, actor=OWNER)
        return download(data, media_type="application/pdf", name=f"{number}.pdf", inline=True)

    @routes.get("/desk/segments/{number}/nameplate.json")
    def nameplate_as_data(request: Request, number: str) -> Response:
        front.inside(request)
        data, _missing = nameplate_data(workshop, number)
        return download(data, media_type="application/json", name=f"{number}.json")

    @routes.get("/desk/segments/{number}/engraving.svg")
    def engraving_place(request: Request, number: str) -> Response:
        front.inside(request)
        return download(
            preview_engraving(workshop, number), media_type="image/svg+xml", name=f"{number}.svg", inline=True
        )

    @routes.post("/desk/segments/{number}/engraving.dxf")
    def engraving(request: Request, number: str, override: Override = "") -> Response:
        front.inside(request)
        data = engrave_segment(workshop, number, form="dxf", override=override, actor=OWNER)
        return download(data, media_type="image/vnd.dxf", name=f"{number}.dxf")

    return routes


def _waiting(workshop: Workshop) -> Waiting:
    """The work that waits: open orders, and calls of which none came yet."""
    newest = list_reports(workshop, after=None, limit=REPORTS_LOOKED_AT)
    return Waiting.of(open_work(workshop).rows, newest, most_reports=REPORTS_SHOWN)


def _kit(workshop: Workshop, mark: str) -> str | None:
    """The kit that the text names, as on a cart placard; a kit's number is no mark of a segment."""
    try:
        return show_kit(workshop, "-".join(mark.split())).number
    except KitUnknown:
        return None


def segment_page(number: str) -> str:
    """The address of a segment's page."""
    return f"/desk/segments/{quote(number)}"


def segment_address(workshop: Workshop, said: ReadAnswer, mark: str) -> str:
    """The page of the segment that a mark settled on; the mark goes along where it says more than the number."""
    number = said.number or resolve_mark(workshop, mark).number
    along = f"?mark={quote(mark, safe='')}" if mark.strip() != number else ""
    return segment_page(number) + along


def segment_card(
    workshop: Workshop,
    number: str,
    *,
    mark: str,
    form: FormView,
    kept: Collection[str] | None = None,
    retry_key: str | None = None,
) -> SegmentCard:
    """Everything on record about a segment.

    Args:
        workshop: where the records are.
        number: the segment's number.
        mark: what led here; a piece's key ticks that piece in the form.
        form: what the reorder form had in it when it came back with a problem.
        kept: the neighbours that were ticked then; None on a fresh form, where all are.
        retry_key: the key of the form that came back, so that sending it again is the same sending.
    """
    facts = resolve_mark(workshop, number)
    said = _reading(workshop, mark)
    pieces = {piece.key for piece in facts.pieces if piece.key}
    chosen = form.get("mark") or (said.key if said else None) or ""
    return SegmentCard(
        number=Number(facts.number),
        facts=facts,
        colour=Colour.of(facts.stock_colour),
        mark=mark,
        repairs=repair_words(said.repairs) if said else (),
        picture=Picture.inline(segment_picture(workshop, facts.number)),
        plan=Picture.inline(
            kit_plan(
                workshop, facts.kit, lit=[facts.number], only_around=facts.number, width_px=PLAN_PX, href=segment_page
            )
        ),
        neighbours=tuple(
            Neighbour(Number(other.number), other, kept is None or other.number in kept) for other in facts.neighbours
        ),
        events=_journal(workshop, facts.kit, facts.number),
        broken_piece=chosen if chosen in pieces else "",
        retry_key=retry_key or new_retry_key(),
        form=form,
        tools=tuple(engraving_tools(workshop)),
    )


def _reading(workshop: Workshop, mark: str) -> ReadAnswer | None:
    """What the mark in the address says; an address that somebody wrote by hand may hold anything."""
    if not mark.strip():
        return None
    try:
        return read_mark(workshop, mark)
    except KitwrightError:
        return None


def _journal(workshop: Workshop, *subjects: str) -> tuple[EventLine, ...]:
    """The journals of several subjects as one, oldest line first."""
    events = [event for subject in subjects for event in history(workshop, subject).events]
    return tuple(event_line(event) for event in sorted(events, key=lambda event: event.at))


def event_line(event: EventAnswer) -> EventLine:
    """An entry of the journal in words: what happened, to the whole kit where it did, how it came out, and why."""
    after = event.after if isinstance(event.after, dict) else {}
    words = [EVENT_WORDS.get(event.verb, event.verb)]
    if isinstance(state := after.get("state"), str) and event.verb in ("print", "engrave"):
        words.append(state)
    if isinstance(reason := after.get("reason"), str):
        words.append(f"({reason})")
    if event.subject.count("-") == KIT_HYPHENS:
        words.insert(0, "whole kit:")
    return EventLine(event.at, event.actor, " ".join(words))
