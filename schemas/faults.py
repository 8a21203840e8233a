"""From a validation error to findings that name the field, its value, the place and the next thing to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from service.errors import BadFields, printable, short
from service.findings import Finding

D = TypeVar("D", bound=BaseModel)
Location = Sequence[int | str]
_OBJECT = ("an object with named fields is wanted here", "Give '{field}' as an object in braces")
_LIST = ("a list is wanted here", "Give '{field}' as a list in brackets")
_SAID = {
    "missing": ("this field is missing", "Add '{field}'"),
    "extra_forbidden": ("no such field is known here", "Correct the name of '{field}' or take it out"),
    "model_type": _OBJECT,
    "model_attributes_type": _OBJECT,
    "dict_type": _OBJECT,
    "tuple_type": _LIST,
    "list_type": _LIST,
}
_NAMED = {"literal_error": "expected", "enum": "expected"}
"""Kinds of faults that name what is right, and where they name it."""


def checked(document: type[D], values: Mapping[str, object]) -> D:
    """A document of what a form or a command line sent, held to the same rules as a request over the API.

    Raises:
        BadFields: fields are wrong; each fault is a finding.
    """
    try:
        return document.model_validate(dict(values))
    except ValidationError as error:
        raise BadFields(findings_of(error, rule="bad_fields")) from error


def place_in_json(location: Location) -> str:
    """The place of a field as people write it: ``assemblies[0].segments[2].thickness_mm``."""
    text = ""
    for step in location:
        name = str(step) if isinstance(step, int) else short(step)
        text += f"[{name}]" if isinstance(step, int) else f".{name}" if text else name
    return text


def findings_of(
    error: ValidationError, *, rule: str, place_of: Callable[[Location], str] = place_in_json
) -> tuple[Finding, ...]:
    """A finding for each fault, in the order of the input."""
    return findings_of_details(error.errors(include_url=False), rule=rule, place_of=place_of)


def findings_of_details(
    details: Sequence[ErrorDetails], *, rule: str, place_of: Callable[[Location], str] = place_in_json
) -> tuple[Finding, ...]:
    """The same for faults that a web framework has already taken apart."""
    told = [fault["loc"] for fault in details]
    return tuple(_finding(fault, rule, place_of) for fault in details if not _follows(fault, told))


def _follows(fault: ErrorDetails, told: Sequence[Location]) -> bool:
    """Whether a list counts as too short only because its items have faults of their own."""
    here = fault["loc"]
    return fault["type"] == "too_short" and any(len(loc) > len(here) and loc[: len(here)] == here for loc in told)


def _finding(fault: ErrorDetails, rule: str, place_of: Callable[[Location], str]) -> Finding:
    location = fault["loc"]
    named = [step for step in location if isinstance(step, str)]
    field = short(named[-1]) if named else "body"
    message, todo = map(printable, _said(fault, field))
    given = fault.get("input")
    value = "(not given)" if fault["type"] == "missing" else "null" if given is None else short(str(given))
    return Finding(
        rule=rule, level="error", message=message, field=field, value=value, todo=todo, place=place_of(location)
    )


def _said(fault: ErrorDetails, field: str) -> tuple[str, str]:
    """What is wrong and what to do, by the kind of fault."""
    kind = fault["type"]
    if kind in _SAID:
        message, todo = _SAID[kind]
        return message, todo.format(field=field)
    if kind in ("too_short", "too_long"):
        return _length(fault, field)
    if kind == "value_error" and "UploadFile" in fault["msg"]:
        return "a file is wanted here", f"Send '{field}' as a file part of the form"
    if kind in _NAMED:
        return _plain(fault["msg"]), f"Use {fault['ctx'][_NAMED[kind]]}"
    if kind == "malformed":
        return _plain(fault["msg"]), f"Write it like {fault['ctx']['example']}"
    return _plain(fault["msg"]), f"Correct '{field}'"


def _length(fault: ErrorDetails, field: str) -> tuple[str, str]:
    """Of a list that has too few or too many items."""
    least = fault["type"] == "too_short"
    count = fault["ctx"]["min_length" if least else "max_length"]
    said = f"{'at least' if least else 'at most'} {count:,} {'item is' if count == 1 else 'items are'} wanted here"
    return said, f"Put more into '{field}'" if least else f"Take some out of '{field}'"


def _plain(message: str) -> str:
    """A message of the validating library as a clause of a sentence."""
    message = message.removeprefix("Value error, ").rstrip(".")
    return message[:1].lower() + message[1:]
