"""Errors as problem documents (RFC 9457); the one place that knows HTTP status codes of errors."""

from __future__ import annotations

import logging
from typing import Any
from urllib.parse import quote

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from starlette.exceptions import HTTPException

from schemas.faults import findings_of_details
from schemas.problem import Problem
from service.errors import (
    AmbiguousMark,
    BadCharacter,
    BadFields,
    BadInput,
    BadRequest,
    Conflict,
    Contradiction,
    Defect,
    Denied,
    EditUnseen,
    KitwrightError,
    LintFailed,
    MethodNotTaken,
    NotFound,
    NotJson,
    NotSignedIn,
    PageUnknown,
    PlaceVoided,
    PrinterFault,
    RevisionWithdrawn,
    StaleEdit,
    TooLarge,
    Unavailable,
    Untrusted,
    short,
)
from service.rules.lint import LINT_RULES
from service.work.shown import finding_answers

PROBLEM_JSON = "application/problem+json"
_LOG = logging.getLogger("kitwright")
STATUS: tuple[tuple[type[KitwrightError], int], ...] = (
    (NotJson, 400),
    (MethodNotTaken, 405),
    (TooLarge, 413),
    (NotSignedIn, 401),
    (Denied, 403),
    (NotFound, 404),
    (StaleEdit, 412),
    (EditUnseen, 428),
    (Conflict, 409),
    (Unavailable, 503),
    (PrinterFault, 502),
    (Untrusted, 500),
    (Defect, 500),
    (BadInput, 422),
)
# A lint that fails for what stands on record, not for what was sent.
CONFLICTING_RULES = frozenset(
    {name for name, rule in LINT_RULES.items() if rule.conflict}
    | {Contradiction.code, RevisionWithdrawn.code, PlaceVoided.code}
)


def status_of(error: KitwrightError) -> int:
    """The HTTP status of an error."""
    if isinstance(error, LintFailed) and error.rule in CONFLICTING_RULES:
        return 409
    for kind, status in STATUS:
        if isinstance(error, kind):
            return status
    return 500


def problem(error: KitwrightError, instance: str) -> Problem:
    """The problem document of an error."""
    code = error.rule if isinstance(error, LintFailed) else error.code
    return Problem(
        type=f"/docs#{code}",
        title=error.title,
        status=status_of(error),
        detail=str(error),
        instance=instance,
        code=code,
        field=error.field,
        value="(not given)" if error.value is None else short(str(error.value)),
        todo=f"{error.todo}.",
        place=error.place,
        position=error.position if isinstance(error, BadCharacter) else None,
        candidates=error.candidates if isinstance(error, AmbiguousMark) else (),
        findings=finding_answers(getattr(error, "findings", ())),
    )


def problem_response(error: KitwrightError, request: Request) -> JSONResponse:
    """The answer that carries the problem document."""
    if isinstance(error, Unavailable):
        _LOG.error("%s (%s)", error, error.value)
        error = error.for_clients()
    # A reference as RFC 3986 wants it (RFC 9457 section 3.1.5), whatever bytes the path held.
    document = problem(error, quote(request.url.path, safe="/:@!$&'()*+,;=~"))
    headers = {}
    if isinstance(error, NotSignedIn):
        headers["WWW-Authenticate"] = 'Bearer realm="kitwright"'
    if document.status == 503:
        headers["Retry-After"] = "2"
    return JSONResponse(
        document.model_dump(mode="json"), status_code=document.status, media_type=PROBLEM_JSON, headers=headers
    )


def install(app: FastAPI) -> None:
    """Answer every error with a problem document."""

    @app.exception_handler(KitwrightError)
    def known(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, KitwrightError)
        return problem_response(error, request)

    @app.exception_handler(RequestValidationError)
    def invalid(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, RequestValidationError)
        return problem_response(fields_error(error), request)

    @app.exception_handler(HTTPException)
    def plain(request: Request, error: Exception) -> JSONResponse:
        assert isinstance(error, HTTPException)
        answer = problem_response(_plain(request, error), request)
        if error.headers and "Allow" in error.headers:
            answer.headers["Allow"] = error.headers["Allow"]
        return answer

    @app.exception_handler(Exception)
    def unforeseen(request: Request, error: Exception) -> JSONResponse:
        return problem_response(defect(error, request), request)


def fields_error(error: RequestValidationError) -> KitwrightError:
    """What the framework found wrong in a request, in our words."""
    details: list[Any] = list(error.errors())
    for detail in details:
        if detail["type"] == "json_invalid":
            return NotJson(
                f"the body is no JSON: {_clause(detail.get('ctx', {}).get('error', 'it cannot be read'))}",
                field="body",
                value=_text(error.body)[:60],
                todo="Send the body as JSON",
                place=f"character {detail['loc'][-1]}",
            )
        if detail["loc"] == ("body",) and isinstance(detail.get("input"), bytes):
            return NotJson(
                "the body was not sent as JSON",
                field="Content-Type",
                value=_text(detail["input"])[:60],
                todo="Send JSON, and say so with 'Content-Type: application/json'",
                place="header Content-Type",
            )
        # The first step says only where the field travels: path, query, header or body.
        detail["loc"] = tuple(detail["loc"])[1:] or ("body",)
    return BadFields(findings_of_details(details, rule="bad_fields"))


def defect(error: Exception, request: Request) -> Defect:
    """A fault of the program itself; what exactly stands in its log and is not told to whoever asked."""
    return Defect(
        "the service failed at this request, through no fault of yours",
        field="request",
        value=f"{request.method} {request.url.path}",
        todo=f"Tell whoever runs it that its log shows {type(error).__name__} at this moment",
    )


def _clause(words: str) -> str:
    """What a library says, as a clause of our sentence."""
    return words[:1].lower() + words[1:].rstrip(".")


def _text(body: object) -> str:
    return body.decode(errors="replace") if isinstance(body, bytes) else str(body)


def _plain(request: Request, error: HTTPException) -> KitwrightError:
    if error.status_code == 404:
        return PageUnknown(
            "the service has no such address", field="path", value=request.url.path, todo="See /docs for all calls"
        )
    if error.status_code == 405:
        return MethodNotTaken(
            f"this address does not take {request.method}",
            field="method",
            value=request.method,
            todo="See /docs for what it takes",
        )
    return BadRequest(
        _clause(str(error.detail)),
        field="request",
        value=request.url.path,
        todo="Correct the request and send it again",
    )


RESPONSES: dict[int | str, dict[str, Any]] = {
    status: {"description": text, "content": {PROBLEM_JSON: {"schema": {"$ref": "#/components/schemas/Problem"}}}}
    for status, text in (
        (400, "The body cannot be read."),
        (401, "The owner key is missing or wrong."),
        (403, "Called from another site or under a foreign name."),
        (404, "Not on record."),
        (409, "The records stand against it."),
        (412, "Changed by somebody else since."),
        (413, "Too large."),
        (422, "The input is wrong; field, value, place and the next thing to do are named."),
        (500, "What the service holds or made is wrong and is not handed out."),
        (503, "The records or the vault do not answer."),
    )
}
# A call that speaks with a printer.
PRINTER_FAULTS: dict[int | str, dict[str, Any]] = {
    502: {**RESPONSES[503], "description": "The printer does not answer, or does not do what it was asked."}
}
# A call that changes what stands, and has to say from which state.
EDITS: dict[int | str, dict[str, Any]] = {
    428: {**RESPONSES[409], "description": "If-Match is missing: the edit does not say which state it was made from."}
}
