"""A shop of millions of segments, written row by row past the verbs: tables, indexes and triggers are the real ones.

Segment ``index`` always gets the same number and key, so that a larger shop begins with the rows of a smaller one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.numbering.number import KitNumber, Number, Place
from service.store import sqlite
from service.store.database import Database
from service.store.tables import Assembly, Container, Kit, Segment
from service.store.tables.base import Base
from tests.bulk_rows import Put, Row, file_put, key_of, server_put
from tests.factories import NOW, make_machine, make_plant, make_revision

SEGMENTS_A_KIT = 100
_STARS, _DECKS, _PER_DECK = 5, "LMUK", 5
_PLACES = [
    Place("SW", star, deck, ordinal)
    for star in range(1, _STARS + 1)
    for deck in _DECKS
    for ordinal in range(1, _PER_DECK + 1)
]
_KITS_AT_ONCE = 500
_CACHE_KIB = -1024 * 1024

_COLUMNS: dict[type[Base], tuple[str, ...]] = {
    Container: ("id", "customer_id", "design", "nominal_digits", "name", "nominal", "unit"),
    Kit: ("id", "number", "machine_id", "container_id", "stock_colour", "status", "issued_at", "version"),
    Assembly: ("id", "kit_id", "code", "ordinal", "name", "position"),
    Segment: (
        "id", "number", "key", "kit_id", "assembly_id", "deck", "ordinal", "quantity", "material", "stock_colour",
        "thickness_mm", "mass_kg", "cut_file_id", "revision_id", "status",
    ),
}  # fmt: skip


def number_of(index: int) -> str:
    """The number of a segment, counted from 0."""
    kit, place = divmod(index, SEGMENTS_A_KIT)
    return str(Number(_kit(kit), _PLACES[place]))


def begin(database: Database) -> None:
    """Put on record what every kit needs: the plant, the machine and the one revision that all is cut from."""
    with database.write() as connection:
        make_plant(connection)
        make_machine(connection)
        make_revision(connection)


def grow_file(path: str, *, start: int, stop: int) -> None:
    """Add the segments from ``start`` up to ``stop`` to a SQLite file, whole kits; a crash would cost the file."""
    connection = sqlite.connect(path, wait_s=1)
    connection.execute("PRAGMA synchronous = OFF")
    connection.execute(f"PRAGMA cache_size = {_CACHE_KIB}")
    try:
        for some in _kits(start, stop):
            connection.execute("BEGIN IMMEDIATE")
            _write(some, file_put(connection, _COLUMNS))
            connection.execute("COMMIT")
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()


def grow_server(database: Database, *, start: int, stop: int) -> None:
    """The same on a PostgreSQL server; statistics are gathered at the end, as a server does by itself after a while."""
    for some in _kits(start, stop):
        with database.write() as connection:
            _write(some, server_put(connection, _COLUMNS))
    with database.driver_connection() as driver:
        driver.execute("VACUUM ANALYZE")


def _kits(start: int, stop: int) -> Iterator[range]:
    first, last = start // SEGMENTS_A_KIT, -(-stop // SEGMENTS_A_KIT)
    for kit in range(first, last, _KITS_AT_ONCE):
        yield range(kit, min(last, kit + _KITS_AT_ONCE))


def _kit(kit: int) -> KitNumber:
    return KitNumber("OSV", 4, "FC", 1, "A", kit + 1)


def _write(kits: range, put: Put) -> None:
    put(Container, [(kit + 1, 1, "A", kit + 1, f"tall round {kit + 1} mL", str(kit + 1), "mL") for kit in kits])
    put(Kit, [(kit + 1, str(_kit(kit)), 1, kit + 1, "green", "issued", NOW, 1) for kit in kits])
    put(
        Assembly,
        [
            (kit * _STARS + star, kit + 1, "SW", star, f"star wheel {star}", star)
            for kit in kits
            for star in range(1, _STARS + 1)
        ],
    )
    put(Segment, list(_segments(kits)))


def _segments(kits: Iterable[int]) -> Iterator[Row]:
    for kit in kits:
        number = _kit(kit)
        for at, place in enumerate(_PLACES):
            index = kit * SEGMENTS_A_KIT + at
            yield (
                index + 1, str(Number(number, place)), key_of(index), kit + 1, kit * _STARS + place.assembly_ordinal,
                place.deck, place.ordinal, 1, "UHMW-PE", "green", 25.0, 1.07, 1, 1, "active",
            )  # fmt: skip
