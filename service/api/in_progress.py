"""A request that comes again while the first is still at work is told so, and does not wait for its answer.

After draft-ietf-httpapi-idempotency-key-header section 2.6. This knows the requests of its own process. One that comes
again through another process waits for the one writer of the records, and then gets the first one's answer.
"""

from __future__ import annotations

import threading

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from service.api.problems import problem_response
from service.api.requests import retry_of
from service.errors import RequestInProgress

_WRITES = frozenset({"POST", "PUT", "PATCH"})


class InProgress:
    """Middleware that lets one request with an Idempotency-Key through at a time."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._under_way: set[tuple[str, str]] = set()
        self._turn = threading.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 409 when the same request is at work already; else pass the request on."""
        if scope["type"] != "http" or scope["method"] not in _WRITES:
            await self._app(scope, receive, send)
            return
        request = Request(scope)
        retry = retry_of(request, request.headers.get("Idempotency-Key"), b"")
        if retry.key is None:
            await self._app(scope, receive, send)
            return
        mine = (retry.key, retry.request)
        with self._turn:
            others = mine in self._under_way
            self._under_way.add(mine)
        if others:
            error = RequestInProgress(
                "the request with this key is still at work",
                field="Idempotency-Key",
                value=retry.key,
                todo="Send it again in a moment; it will get the answer of the first",
            )
            await problem_response(error, request)(scope, receive, send)
            return
        try:
            await self._app(scope, receive, send)
        finally:
            with self._turn:
                self._under_way.discard(mine)
