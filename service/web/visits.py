"""Who looks at a page: a signed ticket in a cookie after the owner key was given once.

The ticket holds nothing but the time at which it ends and a signature made with the owner key, so every process of the
service knows a ticket of any other, and a new owner key ends all of them.
"""

from __future__ import annotations

import hashlib
import hmac
import time
from collections.abc import Callable

from fastapi import Request, Response

from service.web.pages import Who

COOKIE = "kitwright_visit"
VISIT_S = 12 * 3600
"""A shift and a bit: a screen in the shop asks for the key once a day."""


class Visits:
    """Gives tickets and knows them again.

    Args:
        owner_key: the key; None when the service is open to everybody who reaches it.
        clock: seconds since 1970.
    """

    def __init__(self, owner_key: str | None, clock: Callable[[], float] = time.time) -> None:
        self._key = owner_key.encode() if owner_key else None
        self._clock = clock

    def is_owner_key(self, text: str) -> bool:
        """Whether this is the key, compared in constant time."""
        return self._key is not None and hmac.compare_digest(text.strip().encode(), self._key)

    def ticket(self) -> str:
        """A ticket that is good from now for one visit."""
        ends = str(int(self._clock()) + VISIT_S)
        return f"{ends}.{self._signature(ends)}"

    def is_good(self, ticket: str) -> bool:
        """Whether this service gave the ticket and it has not ended."""
        ends, _, signature = ticket.partition(".")
        if not ends.isascii() or not ends.isdigit() or len(ends) > 12:
            return False
        return hmac.compare_digest(signature.encode(), self._signature(ends).encode()) and int(ends) > self._clock()

    def who(self, request: Request) -> Who:
        """Who sent this request."""
        if self._key is None:
            return Who(signed_in=True, may_leave=False)
        signed_in = self.is_good(request.cookies.get(COOKIE, ""))
        return Who(signed_in=signed_in, may_leave=signed_in)

    def welcome(self, request: Request, response: Response) -> None:
        """Put a ticket into the answer."""
        response.set_cookie(
            COOKIE,
            self.ticket(),
            max_age=VISIT_S,
            httponly=True,
            samesite="lax",
            secure=request.url.scheme == "https",
        )

    def _signature(self, ends: str) -> str:
        return hmac.new(self._key or b"", f"visit until {ends}".encode(), hashlib.sha256).hexdigest()
