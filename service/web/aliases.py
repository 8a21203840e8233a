"""Legacy marks on pages: looked for, put on record one by one or as a table, marked wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, File, Form, Path, Query, Request, Response, UploadFile

from schemas.aliases import AliasRequest, AliasWrongRequest
from schemas.answers.aliases import AliasAnswer, ImportAnswer
from schemas.faults import checked
from service.errors import BadRequest, KitwrightError, TooLarge
from service.web.front import OWNER, Front, go
from service.web.pages import page
from service.web.readings import page_of
from service.web.views import Form as FormView
from service.web.views import Page
from service.work.aliases import add_alias, list_aliases, mark_alias_wrong
from service.work.import_marks import MOST_BYTES, import_marks

PAGE_SIZE = 50
MOST = 2**31 - 1
HERE = "/shop/legacy-marks"
KINDS = ("segment", "kit", "machine", "container", "line", "plant")

AliasId = Annotated[int, Path(ge=1, le=MOST)]
Words = Annotated[str, Form(max_length=600)]


@dataclass(frozen=True, slots=True)
class AliasRow:
    """A mark, and the page of what it names; empty where that has none."""

    facts: AliasAnswer
    url: str

    @classmethod
    def of(cls, facts: AliasAnswer) -> AliasRow:
        """A segment's page is the desk's."""
        return cls(facts, f"/desk/segments/{facts.of}" if facts.kind == "segment" else page_of(facts.of))


@dataclass(frozen=True, slots=True)
class AliasPage:
    """The marks that were found, the report of a table that was sent, and what a form had in it."""

    found: tuple[AliasRow, ...]
    page: Page
    form: FormView
    report: ImportAnswer | None
    kinds: tuple[str, ...] = KINDS


def alias_routes(front: Front) -> APIRouter:
    """``/shop/legacy-marks``."""
    routes = front.routes()
    workshop = front.workshop

    def shown(
        request: Request,
        form: FormView,
        *,
        text: str = "",
        after: int = 0,
        report: ImportAnswer | None = None,
        status: int = 200,
    ) -> Response:
        try:
            rows = list_aliases(workshop, text=text.strip() or None, after=after, limit=PAGE_SIZE + 1).aliases
        except BadRequest as error:
            problem = front.problem(error)
            rows, form, status = (), FormView({"text": text}, problem), problem.status
        found = rows[:PAGE_SIZE]
        more = urlencode({"text": text, "after": found[-1].id}) if len(rows) > PAGE_SIZE else ""
        first = f"{HERE}?{urlencode({'text': text})}" if after else None
        rows_shown = tuple(map(AliasRow.of, found))
        view = AliasPage(rows_shown, Page(f"{HERE}?{more}" if more else None, first), form, report)
        return page("shop_aliases.html", who=front.who(request), desk="/shop", status=status, view=view)

    @routes.get(HERE)
    def marks(
        request: Request,
        text: Annotated[str, Query(max_length=240)] = "",
        after: Annotated[int, Query(ge=0, le=MOST)] = 0,
    ) -> Response:
        front.inside(request)
        return shown(request, FormView({"text": text}), text=text, after=after)

    @routes.post(HERE)
    def put(
        request: Request,
        *,
        mark: Words = "",
        kind: Words = "",
        of: Words = "",
        source: Words = "",
        note: Words = "",
    ) -> Response:
        front.inside(request)
        typed = {"mark": mark, "kind": kind, "of": of, "source": source, "note": note}
        try:
            asked = {"text": mark, "kind": kind, "of": of, "source": source, "note": note}
            made = add_alias(workshop, checked(AliasRequest, asked), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return shown(request, FormView(typed, problem), status=problem.status)
        return go(f"{HERE}?{urlencode({'text': made.text})}")

    @routes.post(f"{HERE}/import")
    def table(
        request: Request, table: Annotated[UploadFile, File()], prepare: Annotated[str, Form(max_length=3)] = ""
    ) -> Response:
        front.inside(request)
        try:
            data = table.file.read(MOST_BYTES + 1)
            if len(data) > MOST_BYTES:
                raise TooLarge(
                    f"a table of marks has at most {MOST_BYTES:,} bytes",
                    field="table",
                    value=table.filename,
                    todo="Send it in parts",
                )
            report = import_marks(workshop, data, prepare_only=bool(prepare), actor=OWNER)
        except KitwrightError as error:
            problem = front.problem(error)
            return shown(request, FormView({}, problem), status=problem.status)
        return shown(request, FormView(), report=report)

    @routes.post(f"{HERE}/{{alias_id}}/wrong")
    def wrong(request: Request, alias_id: AliasId, reason: Words = "") -> Response:
        front.inside(request)
        told = mark_alias_wrong(workshop, alias_id, checked(AliasWrongRequest, {"reason": reason}), actor=OWNER)
        return go(f"{HERE}?{urlencode({'text': told.text})}")

    return routes
