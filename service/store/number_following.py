"""The index of all issued numbers, kept current with the records whichever process writes them.

Numbers are only ever added, with ever higher row ids, by one writer at a time: what is new stands behind the highest
id that was seen. The key of that row is looked at too. Keys are drawn at random, so where another one stands there,
another database has been put in this one's place, and everything is read again.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass, field

from sqlalchemy import Connection, bindparam, func, select

from service.errors import BadInput
from service.numbering.number_index import NumberIndex
from service.store.database import Database
from service.store.tables import Segment

__all__ = ["NumberFollowing"]

_BLOCK = 20_000

_MARKS = select(
    select(func.coalesce(func.max(Segment.id), 0)).scalar_subquery(),
    select(Segment.key).where(Segment.id == bindparam("id")).scalar_subquery(),
)
_NEWER = select(Segment.id, Segment.number, Segment.key).where(Segment.id > bindparam("id")).order_by(Segment.id)


@dataclass(frozen=True, slots=True)
class _Held:
    """The index up to a row.

    Attributes:
        index: the numbers up to there.
        id: of the row.
        key: of the row; None before the first.
        unreadable: numbers on record that are none, as only a hand in the tables can make them.
    """

    index: NumberIndex = field(default_factory=NumberIndex)
    id: int = 0
    key: str | None = None
    unreadable: tuple[str, ...] = ()


class NumberFollowing:
    """The index of one database; any number of threads may ask for it.

    Args:
        database: the records.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._held = _Held()
        self._turn = threading.Lock()

    def current(self) -> NumberIndex:
        """All numbers that are on record at this moment; only those that are new are read.

        To be asked before a transaction is opened, not inside one: it takes a connection of its own, and whatever it
        holds is on record in every transaction that begins afterwards. The first time reads all numbers, a million in
        seconds; whoever asks meanwhile waits.

        Raises:
            DatabaseUnavailable: the database does not answer.
        """
        while True:
            # Held first, then asked: what is asked is never older than what is held.
            held = self._held
            with self._database.read() as connection:
                newest, key = connection.execute(_MARKS, {"id": held.id}).one()
                same = held.key == key
                if same and newest == held.id:
                    return held.index
                with self._turn:
                    if self._held is held:
                        self._held = held = _followed(connection, held if same else _Held())
                        return held.index

    @property
    def unreadable(self) -> tuple[str, ...]:
        """Numbers on record that are none and so are found by no search; only a hand in the tables makes such."""
        return self._held.unreadable


def _followed(connection: Connection, held: _Held) -> _Held:
    """What is held, with all that came since."""
    last: tuple[int, str] | None = None
    unreadable = list(held.unreadable)
    numbers: list[str] = []
    # Whole in memory for a moment: to sort all in at once is many times quicker than block by block.
    with connection.execute(_NEWER, {"id": held.id}, execution_options={"yield_per": _BLOCK}) as result:
        for rows in result.partitions():
            numbers += [row.number for row in rows]
            last = rows[-1].id, rows[-1].key
    try:
        held.index.add_all(numbers)
    except BadInput:
        readable = [number for number in numbers if _is_readable(number)]
        unreadable += sorted(set(numbers) - set(readable))
        held.index.add_all(readable)
    return held if last is None else _Held(held.index, *last, tuple(unreadable))


def _is_readable(number: str) -> bool:
    try:
        NumberIndex().add(number)
    except BadInput:
        return False
    return True
