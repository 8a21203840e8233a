"""The shop desk's page of label templates: each with a picture and what is wrong with it, and a place to check one."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, File, Form, Request, Response, UploadFile

from schemas.answers import TemplateAnswer, TemplateFindingAnswer, TemplateLeftOutAnswer
from schemas.template_reading import MOST_BYTES
from service.errors import BadRequest, KitwrightError
from service.web.front import Front, download
from service.web.pages import page
from service.web.views import Form as FormView
from service.web.views import Picture
from service.work import templates
from service.work.lint_template import Linted

#: Lines of a template beside which findings are shown; of a longer one only those with findings are.
MOST_LINES = 1500


@dataclass(frozen=True, slots=True)
class SourceLine:
    """A line of a template that was sent, with what is wrong on it."""

    number: int
    text: str
    findings: tuple[TemplateFindingAnswer, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """What the lint says of a template that was sent.

    Attributes:
        file: what it is called.
        name: of the template, empty where it has none.
        clean: whether nothing stands against it.
        errors: how many faults it has.
        notes: how many notes there are.
        whole: what is wrong with the file as a whole.
        lines: its lines with what is wrong on each.
        picture: a sample mark, without what has no room; None where not even the size is right.
    """

    file: str
    name: str
    clean: bool
    errors: int
    notes: int
    whole: tuple[TemplateFindingAnswer, ...]
    lines: tuple[SourceLine, ...]
    picture: Picture | None


@dataclass(frozen=True, slots=True)
class TemplateCard:
    """A template of the shop; ``errors`` and ``notes`` are its findings by their level."""

    facts: TemplateAnswer
    errors: tuple[TemplateFindingAnswer, ...]
    notes: tuple[TemplateFindingAnswer, ...]


@dataclass(frozen=True, slots=True)
class TemplatePage:
    """The page: what there is, what is left out, and what was checked just now."""

    cards: tuple[TemplateCard, ...]
    left_out: tuple[TemplateLeftOutAnswer, ...]
    checked: Checked | None
    form: FormView


def label_template_routes(front: Front) -> APIRouter:
    """``/shop/templates``."""
    routes = front.routes()
    workshop = front.workshop

    def shown(request: Request, form: FormView, *, checked: Checked | None = None, status: int = 200) -> Response:
        listed = templates.list_templates(workshop)
        view = TemplatePage(tuple(_card(facts) for facts in listed.templates), listed.left_out, checked, form)
        return page("shop_templates.html", who=front.who(request), desk="/shop", status=status, view=view)

    @routes.get("/shop/templates")
    def label_templates(request: Request) -> Response:
        front.inside(request)
        return shown(request, FormView())

    @routes.post("/shop/templates")
    def check(
        request: Request,
        *,
        text: Annotated[str, Form()] = "",
        file: Annotated[UploadFile | None, File()] = None,
        damage: Annotated[bool, Form()] = False,
    ) -> Response:
        front.inside(request)
        try:
            name, data = _sent(text, file)
            linted = templates.check_template(workshop, data, source=name, damage=damage)
        except KitwrightError as error:
            problem = front.problem(error)
            return shown(request, FormView({"text": text}, problem), status=problem.status)
        source = data.decode("utf-8", errors="replace")
        drawing = templates.sample_svg(workshop, linted.reading)
        return shown(request, FormView({"text": source}), checked=_checked(linted, source, drawing))

    @routes.get("/shop/templates/{name}.png")
    def picture(request: Request, name: str) -> Response:
        front.inside(request)
        return download(templates.sample_png(workshop, name), media_type="image/png", name=f"{name}.png", inline=True)

    return routes


def _sent(text: str, file: UploadFile | None) -> tuple[str, bytes]:
    """The name and bytes of what was chosen or pasted; a file counts before the text.

    Raises:
        BadRequest: neither was.
    """
    if file is not None and file.filename:
        return file.filename, file.file.read(MOST_BYTES + 1)
    if not text.strip():
        raise BadRequest("no template was sent", field="text", value=None, todo="Paste a template, or choose its file")
    return "", text.replace("\r\n", "\n").encode("utf-8", errors="replace")


def _checked(linted: Linted, source: str, drawing: str | None) -> Checked:
    findings = templates.finding_answers(linted.findings)
    answer = templates.lint_answer(linted)
    on_line: dict[int, list[TemplateFindingAnswer]] = defaultdict(list)
    for finding in findings:
        if finding.line is not None:
            on_line[finding.line].append(finding)
    lines = source.split("\n")
    return Checked(
        file=linted.source,
        name=answer.name or "",
        clean=linted.is_clean,
        errors=sum(finding.level == "error" for finding in findings),
        notes=sum(finding.level != "error" for finding in findings),
        whole=tuple(finding for finding in findings if finding.line is None),
        lines=tuple(
            SourceLine(number, line[:400], tuple(on_line[number]))
            for number, line in enumerate(lines, start=1)
            if len(lines) <= MOST_LINES or number in on_line
        ),
        # Its ids stay: letters are drawn once and used by them. No other drawing is on the page.
        picture=None if drawing is None else Picture(drawing[drawing.index("<svg") :]),
    )


def _card(facts: TemplateAnswer) -> TemplateCard:
    return TemplateCard(
        facts=facts,
        errors=tuple(finding for finding in facts.findings if finding.level == "error"),
        notes=tuple(finding for finding in facts.findings if finding.level != "error"),
    )
