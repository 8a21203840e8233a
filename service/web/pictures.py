"""A picture of a damaged plate, at the desk and on the floor: taken, read, and shown again with what was found."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import Annotated, Literal

from fastapi import APIRouter, File, Request, Response, UploadFile

from schemas.answers.pictures import PictureAnswer, PictureSymbolAnswer
from service.errors import BadRequest, KitwrightError
from service.web.desk_views import Reading
from service.web.front import Front
from service.web.pages import HEADERS, page
from service.web.readings import not_settled
from service.web.views import Form as FormView
from service.web.views import Number, Picture
from service.work.read_picture import MOST_BYTES, read_picture

Desk = Literal["/desk", "/floor"]

#: This page alone shows a picture that lies in the page itself: it is kept nowhere that it could be loaded from.
_HEADERS = {"Content-Security-Policy": HEADERS["Content-Security-Policy"] + "; img-src 'self' data:"}

_SYMBOL_WORDS = {"qr": "QR Code", "data_matrix": "Data Matrix", "code128": "Code 128"}


@dataclass(frozen=True, slots=True)
class PictureView:
    """What was read in a picture.

    Attributes:
        answer: the reading.
        number: of the segment, when it is settled.
        mark: leads to the segment's or piece's page.
        picture: the picture with the symbols outlined.
        certainty: how it was read and how certain that is, in words.
        symbols: what each symbol gave, in words, numbered as in the picture.
        unsettled: the candidates, or why there are none.
    """

    answer: PictureAnswer
    number: Number | None
    mark: str
    picture: Picture
    certainty: str
    symbols: tuple[str, ...]
    unsettled: Reading | None


def picture_routes(front: Front) -> APIRouter:
    """``/desk/picture`` and ``/floor/picture``."""
    routes = front.routes()

    def asked(request: Request, desk: Desk) -> Response:
        return page("picture.html", who=front.inside(request), desk=desk, form=FormView(), view=None)

    def answered(request: Request, desk: Desk, file: UploadFile | None) -> Response:
        who = front.inside(request)
        try:
            if file is None or not file.filename:
                raise BadRequest("no picture was chosen", field="file", value=None, todo="Take or choose a picture")
            view = _view(front, file.file.read(MOST_BYTES + 1))
        except KitwrightError as error:
            problem = front.problem(error)
            form = FormView({}, problem)
            return page("picture.html", who=who, desk=desk, status=problem.status, form=form, view=None)
        shown = page("picture.html", who=who, desk=desk, form=FormView(), view=view)
        shown.headers.update(_HEADERS)
        return shown

    @routes.get("/desk/picture")
    def desk(request: Request) -> Response:
        return asked(request, "/desk")

    @routes.post("/desk/picture")
    def read_at_desk(request: Request, file: Annotated[UploadFile | None, File()] = None) -> Response:
        return answered(request, "/desk", file)

    @routes.get("/floor/picture")
    def floor(request: Request) -> Response:
        return asked(request, "/floor")

    @routes.post("/floor/picture")
    def read_on_floor(request: Request, file: Annotated[UploadFile | None, File()] = None) -> Response:
        return answered(request, "/floor", file)

    return routes


def _view(front: Front, data: bytes) -> PictureView:
    read = read_picture(front.workshop, data, shown=True)
    answer = read.answer
    return PictureView(
        answer=answer,
        number=Number(answer.number) if read.mark and answer.number else None,
        mark=read.mark,
        picture=_outlined(read.jpeg, answer),
        certainty=certainty(answer),
        symbols=tuple(_said(symbol) for symbol in answer.symbols),
        unsettled=None if read.mark else not_settled(front.workshop, "", answer),
    )


def certainty(answer: PictureAnswer) -> str:
    """How a picture was read, and how certain that is."""
    if answer.how == "alone":
        count = sum(symbol.text is not None for symbol in answer.symbols)
        return f"{count} symbol{'s' if count > 1 else ''} could be decoded as usual."
    if answer.how == "merged":
        return (
            "No symbol decodes alone. All that is left of them together fits this key "
            f"{_times(answer.margin or 0.0)} times better than any other."
        )
    if answer.candidates:
        return f"An answer would have to fit {_times(answer.margin_needed)} times better than any other. None does."
    return "Move closer, hold the camera straight, avoid gloss, and wipe the plate; then take another picture."


def _times(powers: float) -> str:
    whole = int(powers)
    return f"{10**whole:,}" if whole < 7 else f"10^{whole}"


def _said(symbol: PictureSymbolAnswer) -> str:
    name = _SYMBOL_WORDS[symbol.kind]
    if symbol.text is not None:
        text = "".join(char if char.isprintable() else "·" for char in symbol.text)
        return f"{name}: {text}"
    if symbol.legible is None:
        return f"{name}: found, not legible alone"
    agrees = "" if symbol.agrees is None else f", of which {symbol.agrees:.0%} agree"
    return f"{name}: {symbol.legible:.0%} of its modules are legible{agrees}"


def _outlined(jpeg: str, answer: PictureAnswer) -> Picture:
    """The picture with a numbered outline round each symbol."""
    wide, high = 1000.0, 1000.0 * answer.height_px / answer.width_px
    marks = []
    for count, symbol in enumerate(answer.symbols, 1):
        points = [(x * wide, y * high) for x, y in symbol.corners]
        state = "whole" if symbol.text is not None else "part" if symbol.legible else "lost"
        outline = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        x, y = min(points, key=lambda point: point[0] + point[1])
        marks.append(
            f'<polygon class="found {state}" points="{outline}"/>'
            f'<text class="found-number" x="{x - 4:.1f}" y="{max(y - 6, 26):.1f}" text-anchor="end">{count}</text>'
        )
    label = escape(f"The picture with {len(answer.symbols)} symbols outlined")
    return Picture(
        f'<svg viewBox="0 0 {wide:.0f} {high:.0f}" role="img" aria-label="{label}">'
        f'<image href="data:image/jpeg;base64,{jpeg}" width="{wide:.0f}" height="{high:.1f}" '
        f'preserveAspectRatio="none"/>{"".join(marks)}</svg>'
    )
