"""Exact resolve in process: what a scan of a whole number costs beside a point query on a bare driver."""

from __future__ import annotations

import random
import sqlite3
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.read import read_exact, read_mark
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.bench.full_shop import fill
from tests.bench.rounds import Comparison, Contestant
from tests.postgres import PostgresServer

SEGMENTS = 100_000
_ASKED = 2_000
_REPAIRED = 100
_POINT = "SELECT id, number, key, deck, ordinal, quantity, hand, material, status FROM segment WHERE number = "
_LOOK_ALIKES = str.maketrans({"O": "0", "S": "5", "1": "I"})


@contextmanager
def comparisons(*, segments: int = SEGMENTS) -> Iterator[list[Comparison]]:
    """The shop on both kinds of database, with ``segments`` segments on record."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        server = opened.enter_context(PostgresServer())
        file = opened.enter_context(_workshop(f"sqlite:///{folder / 'kitwright.db'}", folder))
        shared = opened.enter_context(_workshop(server.url(server.create_database()), folder))
        numbers = fill(file.database, segments=segments)
        fill(shared.database, segments=segments)
        bare_file = opened.enter_context(closing(sqlite3.connect(folder / "kitwright.db", isolation_level=None)))
        bare_shared = opened.enter_context(shared.database.driver_connection())
        yield [
            _comparison(
                f"Exact resolve, SQLite, {segments:,} segments",
                "bare sqlite3 point query",
                lambda number: bare_file.execute(f"{_POINT}?", (number,)).fetchone(),
                file,
                numbers,
            ),
            _comparison(
                f"Exact resolve, PostgreSQL, {segments:,} segments",
                "bare psycopg point query, prepared",
                lambda number: bare_shared.execute(f"{_POINT}%s", (number,), prepare=True).fetchone(),
                shared,
                numbers,
            ),
        ]


@contextmanager
def _workshop(url: str, folder: Path) -> Iterator[Workshop]:
    with closing(Database(url)) as database:
        database.migrate()
        workshop = Workshop(
            database=database,
            vault=Vault(str(folder / "vault")),
            templates=read_templates([SHIPPED_TEMPLATES]),
            public_url="http://127.0.0.1:8000",
            rendering=RenderRoom(0),
        )
        with closing(workshop.exact):
            yield workshop


def _comparison(
    title: str, bare_name: str, bare: Callable[[str], object], workshop: Workshop, numbers: Sequence[str]
) -> Comparison:
    """The same numbers in the same order for every way of asking, but those that need mending, which take longer."""
    draw = random.Random(7)
    asked = draw.choices(numbers, k=_ASKED)
    misread = [number.translate(_LOOK_ALIKES).replace("-", " ").lower() for number in asked[:_REPAIRED]]
    return Comparison(
        title=title,
        unit="mark",
        yardstick=_asking(bare_name, bare, asked),
        others=[
            _asking("lookup of the store, five tables", workshop.exact.by_number, asked),
            _asking("exact mark, the number", lambda number: read_exact(workshop, number), asked),
            _asking("exact mark, the whole answer", lambda number: read_mark(workshop, number), asked),
            _asking("repaired mark, the whole answer", lambda mark: read_mark(workshop, mark), misread),
        ],
        goals={
            "lookup of the store, five tables": 5.0,
            "exact mark, the number": 5.0,
            "exact mark, the whole answer": 5.0,
        },
    )


def _asking(name: str, ask: Callable[[str], object], marks: Sequence[str]) -> Contestant:
    def run() -> None:
        for mark in marks:
            if ask(mark) is None:
                raise AssertionError(f"'{mark}' was not found by: {name}")

    return Contestant(name=name, run=run, count=len(marks))
