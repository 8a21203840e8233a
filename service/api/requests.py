"""What routes take out of a request: who asks, the Idempotency-Key, If-Match; and answers that are files."""

from __future__ import annotations

import re
from typing import IO, Annotated, Any, Literal
from urllib.parse import quote

from fastapi import Depends, Header, Path, Query, Request, Response
from fastapi.responses import StreamingResponse

from service.errors import BadRequest, EditUnseen
from service.marks.cutters import Cutter
from service.work.cutter_choice import chosen_cutter
from service.work.handing_out import in_blocks, size_of
from service.work.once import Retry
from service.work.seen import Seen
from service.work.workshop import SERVICE, Actor

# Ids are counted by the database; what it cannot hold was never given.
MOST_ID = 2**31 - 1

KitNumber = Annotated[
    str, Path(description="Number of the kit, in any letter case.", examples=["OSV4-FC1-A500"], alias="kit")
]
Mark = Annotated[
    str,
    Path(
        description="Number or key of the segment, or key of one of its pieces; read as tolerantly as a mark.",
        examples=["OSV4-FC1-A500-SW2-U3-42"],
        alias="number",
    ),
]
CutFileName = Annotated[
    str,
    Path(description="Name of the cut file, unique in the shop.", examples=["osv4-fc1-a500-sw2-u3.dxf"], alias="name"),
]
RevisionLetter = Annotated[
    str, Path(description="``-`` or the letters of a released revision.", examples=["B"], alias="revision")
]
ReorderId = Annotated[int, Path(description="Id of the reorder.", examples=[17], alias="reorder_id", ge=1, le=MOST_ID)]
Template = Annotated[
    str,
    Query(description="Name of a label template; ``GET /api/templates`` lists them.", examples=["tied-tag-80x50"]),
]
PaperKind = Annotated[
    Literal["roll", "a4", "letter"],
    Query(description="A roll of labels, one mark a page, or sheets of several marks."),
]
StartCell = Annotated[
    int,
    Query(
        ge=1,
        le=MOST_ID,
        description="On sheets, the first free cell of a sheet of which some marks are taken already, counted from 1 "
        "along the rows.",
        examples=[7],
    ),
]
Dpi = Annotated[int, Query(description="Dots per inch of the printer: 203, 300 or 600.", examples=[300])]
PageSize = Annotated[int, Query(description="How many rows a page has at most.", ge=1, le=200)]
SetNumber = Annotated[
    int | None, Query(alias="set", ge=1, le=MOST_ID, description="Only what is fitted of this set.", examples=[2])
]
Override = Annotated[
    str | None, Query(min_length=3, max_length=240, description="Why, although the kit is retired; goes on record.")
]
CutterName = Annotated[
    Literal["flat", "vee", "ball"] | None,
    Query(
        description="The engraving cutter: a straight end, a V or a ball nose. A straight one of 0.5 mm unless said."
    ),
]
CutterDiameter = Annotated[
    float | None, Query(alias="diameter_mm", gt=0, le=50, description="Of the cutter, in mm.", examples=[0.5])
]
CutterDepth = Annotated[
    float | None, Query(alias="depth_mm", gt=0, le=50, description="How deep the grooves are, in mm.", examples=[0.4])
]
CutterAngle = Annotated[
    float | None,
    Query(alias="angle_deg", ge=10, le=150, description="Included angle of a V cutter, in degrees.", examples=[60]),
]
CutterTip = Annotated[
    float | None,
    Query(alias="tip_mm", ge=0, le=50, description="Flat at the point of a V cutter, in mm.", examples=[0.1]),
]


def asked_cutter(
    cutter: CutterName = None,
    diameter_mm: CutterDiameter = None,
    depth_mm: CutterDepth = None,
    angle_deg: CutterAngle = None,
    tip_mm: CutterTip = None,
) -> Cutter:
    """The engraving cutter that a request asks for."""
    return chosen_cutter(cutter, diameter_mm=diameter_mm, depth_mm=depth_mm, angle_deg=angle_deg, tip_mm=tip_mm)


AskedCutter = Annotated[Cutter, Depends(asked_cutter)]
IdempotencyKey = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        max_length=250,
        description="The same request with the same key gives the same answer and does nothing twice.",
    ),
]
IfMatch = Annotated[
    str | None,
    Header(
        alias="If-Match",
        max_length=1000,
        description="The ETag of the record as it was looked at. The edit is refused with 412 when somebody changed it "
        "since, and with 428 without this header; ``*`` edits whatever stands.",
        examples=['"7"'],
    ),
]
# One entity tag of a list (RFC 9110 section 8.8.3); a weak one never matches.
_TAG = re.compile(r'(?P<weak>W/)?"(?P<tag>[\x21\x23-\x7e\x80-\xff]*)"')


def actor_of(request: Request) -> Actor:
    """Who asks, as the guard found out."""
    actor = getattr(request.state, "actor", SERVICE)
    assert isinstance(actor, Actor)
    return actor


def retry_of(request: Request, key: str | None, payload: bytes) -> Retry:
    """The request as it is known again when it comes a second time."""
    query = f"?{request.url.query}" if request.url.query else ""
    return Retry.of(key, f"{request.method} {request.url.path}{query}"[:255], payload)


def if_match(header: str | None) -> Seen | None:
    """The states that an ``If-Match`` header names, None when any will do (RFC 9110 section 13.1.1).

    Raises:
        EditUnseen: there is no such header.
        BadRequest: it is no list of entity tags.
    """
    if header is None or not header.strip():
        raise EditUnseen(
            "this edit does not say which state of the record it was made from",
            field="If-Match",
            value=None,
            todo="Send the ETag of the record as you loaded it, or * to change whatever stands",
        )
    if header.strip() == "*":
        return None
    # A number or hash without its quotes is understood too.
    listed = [part.strip() for part in header.split(",") if part.strip()]
    tags = [_TAG.fullmatch(part if '"' in part else f'"{part}"') for part in listed]
    if not tags or None in tags:
        raise BadRequest(
            "this is no ETag that the service gave",
            field="If-Match",
            value=header,
            todo="Send the ETag of the record as you loaded it",
        )
    return frozenset(tag["tag"] for tag in tags if tag is not None and tag["weak"] is None)


def etag(tag: str) -> dict[str, str]:
    """The header that carries the tag of a record as it stands."""
    return {"ETag": f'"{tag}"'}


def answers_file(what: str, *media_types: str) -> dict[int | str, dict[str, Any]]:
    """What the document says of a route that answers a file."""
    schema = {"schema": {"type": "string", "format": "binary"}}
    return {200: {"description": what, "content": dict.fromkeys(media_types, schema)}}


_NO_GUESS = {"X-Content-Type-Options": "nosniff"}


def picture(svg: str) -> Response:
    """A drawing, shown by a browser as a picture and nothing else."""
    return Response(
        svg,
        media_type="image/svg+xml",
        headers={**_NO_GUESS, "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"},
    )


def attachment(data: bytes, media_type: str, name: str, *, inline: bool = False) -> Response:
    """A file with its name (RFC 6266)."""
    return Response(data, media_type=media_type, headers=_named(name, inline=inline))


def streamed(file: IO[bytes], media_type: str, name: str, *, inline: bool = False) -> Response:
    """An open file with its name, handed out in blocks and closed at the end."""
    headers = {**_named(name, inline=inline), "Content-Length": str(size_of(file))}
    return StreamingResponse(in_blocks(file), media_type=media_type, headers=headers)


def _named(name: str, *, inline: bool) -> dict[str, str]:
    way = "inline" if inline else "attachment"
    return {**_NO_GUESS, "Content-Disposition": f"{way}; filename*=UTF-8''{quote(name, safe='')}"}
