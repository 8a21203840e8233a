"""A call as a form sends it: the hidden fields that carry it, taken back to where it stands."""

from __future__ import annotations

from typing import Annotated

from fastapi import Form

from service.web.call_state import Call

MOST = 2**31 - 1

Field = Annotated[str, Form(max_length=512)]
Fields = Annotated[list[str] | None, Form(max_length=80)]


def carried_call(
    *,
    mark: Field = "",
    came_by: Field = "",
    said: Fields = None,
    passed: Fields = None,
    report: Annotated[int | None, Form(ge=1, le=MOST)] = None,
) -> Call:
    """Where the call stands that a form carries along."""
    return Call.of(mark=mark, came_by=came_by, said=said or (), passed=passed or (), ask="", report=report)


def noted(*, words: Field = "", caller: Field = "", telephone: Field = "") -> dict[str, str]:
    """What the desk wrote down beside the call; every button of the page sends it along, so that nothing is lost."""
    return {"words": words, "caller": caller, "telephone": telephone}
