"""Restore of an exported shop beside the driver's own way to write the same rows, and where the time goes."""

from __future__ import annotations

import itertools
import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from typing import Any

from service.store import dump, load
from service.store.archive_reading import ArchiveReader, table_member
from service.store.database import Database
from service.store.vault import Vault
from service.work.export import export_to_file
from service.work.rendering import RenderRoom
from service.work.restore import restore_archive
from service.work.workshop import Workshop
from tests.bench.full_shop import fill
from tests.bench.rounds import Comparison, Contestant
from tests.postgres import PostgresServer

SEGMENTS = 100_000
_GOAL_A_SECOND = 10_000
_ROUNDS = 3
_RELEASED = b"osv4-fc1-a500-sw2-u3.dxf -"
"""The bytes behind the one revision that the whole shop is cut from."""

Rows = Sequence[tuple[dump.TableShape, Sequence[tuple[Any, ...]]]]


@contextmanager
def comparisons(*, segments: int = SEGMENTS, rounds: int = _ROUNDS) -> Iterator[list[Comparison]]:
    """One archive of a shop with ``segments`` segments, restored into new databases of both kinds."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        server = opened.enter_context(PostgresServer())
        vault = Vault(str(folder / "vault"))
        vault.put(_RELEASED)
        shop = opened.enter_context(_workshop(f"sqlite:///{folder / 'shop.db'}", vault))
        fill(shop.database, segments=segments)
        archive = folder / "shop.zip"
        export_to_file(shop, archive)
        rows = _rows(shop, archive)
        number = itertools.count()

        def in_file() -> str:
            return f"sqlite:///{folder / f'restored-{next(number)}.db'}"

        def on_server() -> str:
            return server.url(server.create_database())

        yield [
            *(
                Comparison(
                    title=f"Restore of {segments:,} segments, {sum(len(some) for _, some in rows):,} rows, {kind}",
                    unit="segment",
                    yardstick=Contestant(
                        name=f"{_GOAL_A_SECOND:,} segments a second",
                        run=lambda: segments / _GOAL_A_SECOND,
                        count=segments,
                        measures=True,
                    ),
                    others=[
                        _into_new("restore, proven", new, vault, lambda shop: restore_archive(shop, archive), segments),
                        _into_new("the driver's executemany", new, vault, lambda shop: _raw(shop, rows), segments),
                    ],
                    goals={"restore, proven": 1.0},
                    rounds=rounds,
                )
                for kind, new in (("SQLite", in_file), ("PostgreSQL", on_server))
            ),
            Comparison(
                title="Where the time of a restore goes in which no database has a part, and the way there",
                unit="segment",
                yardstick=Contestant(name="archive read through", run=lambda: _verify(archive), count=segments),
                others=[
                    Contestant(name="its lines read as rows", run=lambda: _rows(shop, archive), count=segments),
                    Contestant(name="rows written as lines", run=lambda: _lines(shop), count=segments),
                    Contestant(
                        name="the whole export",
                        run=lambda: export_to_file(shop, folder / f"again-{next(number)}.zip"),
                        count=segments,
                    ),
                ],
                rounds=rounds,
            ),
        ]


@contextmanager
def _workshop(url: str, vault: Vault) -> Iterator[Workshop]:
    with closing(Database(url)) as database:
        database.migrate()
        workshop = Workshop(
            database=database, vault=vault, templates={}, public_url="http://127.0.0.1:8000", rendering=RenderRoom(0)
        )
        with closing(workshop.exact):
            yield workshop


def _into_new(
    name: str, new: Callable[[], str], vault: Vault, work: Callable[[Workshop], object], segments: int
) -> Contestant:
    """Work on a new database each time; making its tables is part of it."""

    def run() -> None:
        with _workshop(new(), vault) as workshop:
            work(workshop)

    return Contestant(name=name, run=run, count=segments)


def _raw(workshop: Workshop, rows: Rows) -> None:
    """The same rows, held in memory, in one transaction."""
    with workshop.database.write() as connection:
        driver: Any = connection.connection.driver_connection
        mark = "?" if isinstance(driver, sqlite3.Connection) else "%s"
        cursor = driver.cursor()
        for shape, values in rows:
            if values:
                names = ", ".join(f'"{name}"' for name in shape.names)
                into = f'INSERT INTO "{shape.name}" ({names}) VALUES ({", ".join([mark] * len(shape.names))})'
                cursor.executemany(into, values)
        cursor.close()


def _rows(shop: Workshop, archive: Path) -> Rows:
    with shop.database.read() as connection:
        shapes = dump.shapes(connection)
    with ArchiveReader(archive) as reader:
        return [
            (
                shape,
                list(
                    itertools.chain.from_iterable(
                        load.batches(shape, reader.table_lines(shape.name), table_member(shape.name))
                    )
                ),
            )
            for shape in shapes
        ]


def _lines(shop: Workshop) -> None:
    with shop.database.read() as connection:
        for shape in dump.shapes(connection):
            for _count, _block in dump.lines(connection, shape):
                pass


def _verify(archive: Path) -> None:
    with ArchiveReader(archive) as reader:
        reader.verify()
