"""Dates and times as people send them, put into the form in which they are kept: ISO 8601 in UTC, to the second."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

EARLIEST_YEAR = 1900


def moment(value: object) -> object:
    """A date (its first moment in UTC), or a time with or without an offset (without one it is UTC).

    Raises:
        ValueError: the text is neither, or lies before ``EARLIEST_YEAR``.
    """
    if value is None:
        return None
    if not isinstance(value, str):
        # A TypeError would not be told to whoever sent it.
        raise ValueError("write a date like 2026-03-15 or a time like 2026-03-15T06:00:00Z, as text")  # noqa: TRY004 - see above
    text = value.strip()
    try:
        if "T" in text or " " in text or ":" in text:
            time = datetime.fromisoformat(text)
        else:
            day = date.fromisoformat(text)
            time = datetime(day.year, day.month, day.day, tzinfo=UTC)
        time = (time if time.tzinfo else time.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError):
        raise ValueError("write a date like 2026-03-15 or a time like 2026-03-15T06:00:00Z") from None
    if time.year < EARLIEST_YEAR:
        raise ValueError(f"no machine of this trade is older than {EARLIEST_YEAR}")
    return time.strftime("%Y-%m-%dT%H:%M:%SZ")


Moment = Annotated[
    str,
    BeforeValidator(moment),
    WithJsonSchema({"type": "string", "description": "A date (its first moment in UTC) or a time, ISO 8601."}),
]
