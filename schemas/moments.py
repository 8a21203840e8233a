"""Dates and times as people send them, put into the form in which they are kept: ISO 8601 in UTC, to the second."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

EARLIEST_YEAR = 1900


def moment(value: object) -> object:
    """A date (its first moment in UTC), or a time with or without an offset (without one it is UTC).

    Raises:
        PydanticCustomError: the value is neither, or lies before ``EARLIEST_YEAR``.
    """
    if value is None:
        return None
    text = value.strip() if isinstance(value, str) else ""
    try:
        if "T" in text or " " in text or ":" in text:
            time = datetime.fromisoformat(text)
        else:
            day = date.fromisoformat(text)
            time = datetime(day.year, day.month, day.day, tzinfo=UTC)
        time = (time if time.tzinfo else time.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        raise PydanticCustomError("moment", "a date is written 2026-03-15, a time 2026-03-15T06:00:00Z") from None
    if time.year < EARLIEST_YEAR:
        raise PydanticCustomError("moment", "nothing that is on record here is so old")
    return time.strftime("%Y-%m-%dT%H:%M:%SZ")


Moment = Annotated[
    str,
    BeforeValidator(moment),
    WithJsonSchema(
        {
            "type": "string",
            "description": "A date (its first moment in UTC) or a time, ISO 8601; without an offset it is UTC.",
            "examples": ["2026-03-15", "2026-03-15T06:00:00Z"],
        }
    ),
]
