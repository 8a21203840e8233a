"""Long lists of values in questions that every database takes."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TypeVar

T = TypeVar("T")

CHUNK = 500
"""Values a question; SQLite built with its old default takes 999 at most."""


def chunks(values: Collection[T]) -> Iterator[list[T]]:
    """The values in lists of at most ``CHUNK``, each value once."""
    unique = list(dict.fromkeys(values))
    for start in range(0, len(unique), CHUNK):
        yield unique[start : start + CHUNK]
