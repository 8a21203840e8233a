"""Who gets in: the name the service is called under, the page that calls, the owner key, and how much is sent.

Bound to loopback the service still looks at ``Host`` and ``Origin``: any page in a browser on this machine could call
it otherwise (DNS rebinding, cross-site requests). Plain ASGI, so that a scan pays next to nothing for it.
"""

from __future__ import annotations

import hmac
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from urllib.parse import urlsplit

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api.problems import problem_response
from service.errors import BadRequest, ForeignHost, ForeignOrigin, KitwrightError, NotSignedIn, TooLarge
from service.work.workshop import Actor

MOST_BODY_BYTES = 25_000_000
OWNER = Actor("owner")
GUARDED = ("/api/", "/metrics", "/openapi.json")
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


@dataclass(frozen=True, slots=True)
class Rules:
    """What the guard holds to.

    Attributes:
        owner_key: asked for on guarded addresses; None leaves the service open.
        host_names: names, lower case and without port, under which the service may be called; empty for any.
        is_ticket: whether the value of the visit cookie is a good one.
        cookie: the name of that cookie.
    """

    owner_key: str | None
    host_names: frozenset[str]
    is_ticket: Callable[[str], bool]
    cookie: str


class Access:
    """The guard before the application; a seam for roles: it alone says who asks (``request.state.actor``)."""

    def __init__(self, app: ASGIApp, rules: Rules) -> None:
        self._app = app
        self._rules = rules

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in or answer why not."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
        try:
            self._check(scope, headers)
        except KitwrightError as error:
            await problem_response(error, Request(scope))(scope, receive, send)
            return
        scope.setdefault("state", {})["actor"] = OWNER
        if scope["method"] in SAFE_METHODS:
            await self._app(scope, receive, send)
        else:
            await _Measured(self._app).run(scope, receive, send)

    def _check(self, scope: Scope, headers: Mapping[bytes, str]) -> None:
        host = headers.get(b"host", "").lower()
        if self._rules.host_names and _name(host) not in self._rules.host_names:
            raise ForeignHost(
                "the service is not called by this name",
                field="Host",
                value=host,
                todo="Use its own address, or name this one in KITWRIGHT_ALLOWED_HOSTS",
            )
        path: str = scope["path"]
        unsafe = scope["method"] not in SAFE_METHODS
        if unsafe or path.startswith(GUARDED):
            _check_origin(host, headers)
        length = headers.get(b"content-length", "0")
        if not (length.isascii() and length.isdigit() and len(length) < 20):
            raise BadRequest("not a length", field="Content-Length", value=length, todo="Send the length in bytes")
        if int(length) > MOST_BODY_BYTES:
            raise _too_large(int(length))
        if self._rules.owner_key is not None and path.startswith(GUARDED):
            self._check_key(headers, self._rules.owner_key)

    def _check_key(self, headers: Mapping[bytes, str], owner_key: str) -> None:
        scheme, _, key = headers.get(b"authorization", "").partition(" ")
        if scheme.lower() == "bearer" and hmac.compare_digest(key.strip().encode(), owner_key.encode()):
            return
        try:
            cookies: SimpleCookie = SimpleCookie(headers.get(b"cookie", ""))
        except CookieError:
            cookies = SimpleCookie()
        ticket = cookies.get(self._rules.cookie)
        if ticket is not None and self._rules.is_ticket(ticket.value):
            return
        raise NotSignedIn(
            "this address asks for the owner key" if not key else "this is not the owner key",
            field="Authorization",
            value=None if not key else f"{scheme} …",
            todo="Send 'Authorization: Bearer …' with the key, or sign in on the page",
        )


def _check_origin(host: str, headers: Mapping[bytes, str]) -> None:
    """A browser says which page calls; a page of another site may not."""
    origin = headers.get(b"origin")
    foreign = origin is not None and _netloc(origin) != host
    if foreign or (origin is None and headers.get(b"sec-fetch-site") == "cross-site"):
        raise ForeignOrigin(
            "a page of another site called",
            field="Origin",
            value=origin or headers.get(b"referer", ""),
            todo="Call from the service's own pages, or from a program",
        )


def _netloc(origin: str) -> str | None:
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return None


def _name(host: str) -> str:
    """A host without its port; brackets stay round an IPv6 address."""
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0]


def _too_large(size: int) -> TooLarge:
    return TooLarge(
        f"the body has more than {MOST_BODY_BYTES:,} bytes",
        field="body",
        value=size,
        todo="Send less at a time, or take out of the file what is not cut",
    )


class _Measured:
    """Counts a body as it comes in, whatever its sender said of its length."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def run(self, scope: Scope, receive: Receive, send: Send) -> None:
        total = 0
        answered = False

        async def counted() -> Message:
            nonlocal total
            message = await receive()
            if message["type"] == "http.request":
                total += len(message.get("body", b""))
                if total > MOST_BODY_BYTES:
                    raise _too_large(total)
            return message

        async def noted(message: Message) -> None:
            nonlocal answered
            answered = True
            await send(message)

        try:
            await self._app(scope, counted, noted)
        except TooLarge as error:
            if answered:
                raise
            await problem_response(error, Request(scope))(scope, receive, send)
