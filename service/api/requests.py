"""What routes take out of a request: who asks, the Idempotency-Key, If-Match; and answers that are files."""

from __future__ import annotations

from typing import Annotated
from urllib.parse import quote

from fastapi import Header, Request, Response

from service.errors import BadRequest
from service.work.once import Retry
from service.work.workshop import SERVICE, Actor

IdempotencyKey = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        max_length=250,
        description="The same request with the same key gives the same answer and does nothing twice.",
    ),
]


def actor_of(request: Request) -> Actor:
    """Who asks, as the guard found out."""
    actor = getattr(request.state, "actor", SERVICE)
    assert isinstance(actor, Actor)
    return actor


def retry_of(request: Request, key: str | None, payload: bytes) -> Retry:
    """The request as it is known again when it comes a second time."""
    query = f"?{request.url.query}" if request.url.query else ""
    return Retry.of(key, f"{request.method} {request.url.path}{query}"[:255], payload)


def if_match(header: str | None) -> int | None:
    """The version in an ``If-Match`` header, None when any will do (RFC 9110 section 13.1.1)."""
    if header is None or header.strip() == "*":
        return None
    tag = header.strip().strip('"')
    if not (tag.isascii() and tag.isdigit() and len(tag) < 10):
        raise BadRequest(
            "this is no ETag that the service gave",
            field="If-Match",
            value=header,
            todo="Send the ETag of the kit as you loaded it",
        )
    return int(tag)


def attachment(data: bytes, media_type: str, name: str, *, inline: bool = False) -> Response:
    """A file with its name (RFC 6266)."""
    way = "inline" if inline else "attachment"
    return Response(
        data,
        media_type=media_type,
        headers={"Content-Disposition": f"{way}; filename*=UTF-8''{quote(name, safe='')}"},
    )
