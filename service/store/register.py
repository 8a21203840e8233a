"""What was issued, as the reader of damaged marks asks it."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, select

from service.store.chunks import chunks
from service.store.segments import keys_taken
from service.store.tables import Segment


class DatabaseRegister:
    """Answers for ``numbering``'s reader from one transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def issued_numbers(self, numbers: Collection[str]) -> set[str]:
        """Which of these printed numbers were issued, those of voided places too."""
        return {
            number
            for some in chunks(numbers)
            for number in self._connection.scalars(select(Segment.number).where(Segment.number.in_(some)))
        }

    def issued_parts(self, parts: Collection[str]) -> set[str]:
        """Which of these printed runs of groups (``FC1-A500``, ``SW2-U3``) stand in some issued number.

        A look at every number in the worst case; asked only for a text that is a whole key as well.
        """
        return {
            part
            for part in parts
            if self._connection.scalar(
                select(Segment.id).where(("-" + Segment.number).contains(f"-{part}-", autoescape=True)).limit(1)
            )
        }

    def issued_keys(self, keys: Collection[str]) -> set[str]:
        """Which of these keys of eight symbols were given."""
        return set(keys_taken(self._connection, keys))
