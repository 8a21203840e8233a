"""What every page of the desks needs: who looks, errors as pages, and answers that are files or ways elsewhere."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, replace
from typing import IO, Any
from urllib.parse import quote, urlsplit

from fastapi import APIRouter, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse, StreamingResponse
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException

from schemas.faults import findings_of_details
from service.errors import BadFields, BadRequest, KitwrightError, NotSignedIn, Unavailable
from service.web.pages import HEADERS, Who, page
from service.web.views import Problem
from service.web.visits import Visits
from service.work.handing_out import in_blocks, size_of
from service.work.workshop import Actor, Workshop

OWNER = Actor("owner")
_LOG = logging.getLogger("kitwright")


@dataclass(frozen=True, slots=True)
class Front:
    """The front of the house, put together once by the program.

    Attributes:
        workshop: what the verbs work with.
        visits: who looks.
        status_of: the HTTP status of an error.
    """

    workshop: Workshop
    visits: Visits
    status_of: Callable[[KitwrightError], int]

    def routes(self) -> APIRouter:
        """A router whose errors are pages."""
        return APIRouter(include_in_schema=False, route_class=_page_route(self))

    def who(self, request: Request) -> Who:
        """Who looks at the page."""
        return self.visits.who(request)

    def inside(self, request: Request) -> Who:
        """Who looks, on a page for signed-in people.

        Raises:
            NotSignedIn: nobody is signed in.
        """
        who = self.visits.who(request)
        if not who.signed_in:
            raise NotSignedIn(
                "nobody is signed in here", field="page", value=request.url.path, todo="Sign in with the owner key"
            )
        return who

    def problem(self, error: KitwrightError) -> Problem:
        """An error in the words of a page."""
        if isinstance(error, Unavailable):
            _LOG.error("%s (%s)", error, error.value)
            error = error.for_clients()
        return Problem.of(error, self.status_of(error))

    def problem_page(self, request: Request, error: KitwrightError) -> Response:
        """An error as a page, or the way to the sign-in page where that is what is wanted."""
        if isinstance(error, NotSignedIn) and request.method in ("GET", "HEAD"):
            here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
            return go(f"/sign-in?next={quote(here, safe='')}")
        problem, who = self.problem(error), self.who(request)
        return page(
            "problem.html",
            who=who,
            status=problem.status,
            # A stranger with a worn code is not told what else is on record.
            problem=problem if who.signed_in else replace(problem, candidates=()),
            back=back_from(request),
        )


def _page_route(front: Front) -> type[APIRoute]:
    """A route class that answers errors with pages instead of problem documents."""

    class PageRoute(APIRoute):
        def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
            inner = super().get_route_handler()

            async def handle(request: Request) -> Response:
                try:
                    return await inner(request)
                except KitwrightError as error:
                    return front.problem_page(request, error)
                except HTTPException as error:
                    unread = BadRequest(
                        "the form cannot be read, it is damaged or too long",
                        field="form",
                        value=error.detail,
                        todo="Go back and send it again, a long text as a file",
                    )
                    return front.problem_page(request, unread)
                except RequestValidationError as error:
                    wrong = BadFields(findings_of_details(error.errors(), rule="bad_fields"))
                    return front.problem_page(request, wrong)

            return handle

    return PageRoute


def go(address: str) -> RedirectResponse:
    """The way to another page, asked for anew (303), so that reloading sends no form twice."""
    return RedirectResponse(address, status_code=303, headers=dict(HEADERS))


def local_address(address: str) -> str:
    """An address of this service to go on to; anything that leads elsewhere becomes the start page."""
    # A browser takes a backslash for a slash, and two slashes for the beginning of another host.
    own = address.startswith("/") and not address.startswith("//") and "\\" not in address and address.isprintable()
    return address if own else "/"


def back_from(request: Request) -> str | None:
    """The page of this service from which the reader came, if the browser says so."""
    came = urlsplit(request.headers.get("referer", ""))
    if not came.netloc or came.netloc != request.url.netloc:
        return None
    address = local_address(came.path + (f"?{came.query}" if came.query else ""))
    here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    return None if address in ("/", here) else address


def download(data: bytes, *, media_type: str, name: str, inline: bool = False) -> Response:
    """A file as an answer; ``inline`` opens it in the browser, as people want a PDF."""
    return Response(data, media_type=media_type, headers=_file_headers(name, inline=inline))


def download_file(file: IO[bytes], *, media_type: str, name: str, inline: bool = False) -> Response:
    """An open file as an answer, handed out in blocks and closed at the end."""
    headers = {**_file_headers(name, inline=inline), "Content-Length": str(size_of(file))}
    return StreamingResponse(in_blocks(file), media_type=media_type, headers=headers)


def _file_headers(name: str, *, inline: bool) -> dict[str, str]:
    plain = "".join(letter if letter.isascii() and (letter.isalnum() or letter in "-_.") else "_" for letter in name)
    return {
        "Cache-Control": "no-store",
        "X-Content-Type-Options": "nosniff",
        "Content-Disposition": f'{"inline" if inline else "attachment"}; filename="{plain}"',
    }


def new_retry_key() -> str:
    """A key for one sending of a form: pressing the button twice does the work once."""
    return secrets.token_urlsafe(18)
