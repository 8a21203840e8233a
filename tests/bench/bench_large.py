"""Exact resolve in shops of ten thousand, a million and three million segments: it should take equally long."""

from __future__ import annotations

import random
import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.read import read_mark
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.bench import large_shop
from tests.bench.rounds import ROUNDS, Comparison, Contestant
from tests.postgres import PostgresServer

SIZES = (10_000, 1_000_000, 3_000_000)
_ASKED = 2_000
_FLAT = 1.5
"""How many times the smallest shop's time counts as flat: an index of a few hundred times the rows is a level or two
deeper, and no computer keeps all of it near its processor."""


@contextmanager
def comparisons(*, sizes: Sequence[int] = SIZES, rounds: int = ROUNDS) -> Iterator[list[Comparison]]:
    """Shops of each size on both kinds of database, asked in turns, for other numbers in each round."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        server = opened.enter_context(PostgresServer())
        files = {
            size: opened.enter_context(_workshop(f"sqlite:///{path}", folder))
            for size, path in _files(folder, sizes).items()
        }
        servers = {
            size: opened.enter_context(_workshop(server.url(name), folder))
            for size, name in _databases(server, sizes).items()
        }
        yield [
            _comparison(f"Exact resolve by the size of the shop, {kind}", shops, rounds)
            for kind, shops in (("SQLite", files), ("PostgreSQL", servers))
        ]


def _files(folder: Path, sizes: Sequence[int]) -> dict[int, Path]:
    """A file a size, each grown out of a copy of the one before."""
    path = folder / "begun.db"
    with closing(Database(f"sqlite:///{path}")) as database:
        database.migrate()
        large_shop.begin(database)
    found, before = {}, 0
    for size in sizes:
        larger = folder / f"{size}.db"
        shutil.copy(path, larger)
        large_shop.grow_file(str(larger), start=before, stop=size)
        found[size], path, before = larger, larger, size
    return found


def _databases(server: PostgresServer, sizes: Sequence[int]) -> dict[int, str]:
    name = server.create_database()
    with closing(Database(server.url(name))) as database:
        database.migrate()
        large_shop.begin(database)
    found, before = {}, 0
    for size in sizes:
        larger = server.create_database(template=name)
        with closing(Database(server.url(larger))) as database:
            large_shop.grow_server(database, start=before, stop=size)
        found[size], name, before = larger, larger, size
    return found


@contextmanager
def _workshop(url: str, folder: Path) -> Iterator[Workshop]:
    with closing(Database(url)) as database:
        workshop = Workshop(
            database=database,
            vault=Vault(str(folder / "vault")),
            templates=read_templates([SHIPPED_TEMPLATES]),
            public_url="http://127.0.0.1:8000",
            rendering=RenderRoom(0),
        )
        with closing(workshop.exact):
            yield workshop


def _comparison(title: str, shops: dict[int, Workshop], rounds: int) -> Comparison:
    smallest, *larger = [_asking(size, workshop, rounds) for size, workshop in shops.items()]
    return Comparison(
        title=title,
        unit="mark",
        yardstick=smallest,
        others=larger,
        goals={contestant.name: _FLAT for contestant in larger},
        rounds=rounds,
    )


def _asking(size: int, workshop: Workshop, rounds: int) -> Contestant:
    draw = random.Random(size)
    asked = iter([[large_shop.number_of(draw.randrange(size)) for _ in range(_ASKED)] for _ in range(rounds + 1)])
    return Contestant(name=f"{size:,} segments", run=_reading(workshop, asked), count=_ASKED)


def _reading(workshop: Workshop, rounds: Iterator[list[str]]) -> Callable[[], None]:
    def run() -> None:
        for number in next(rounds):
            if read_mark(workshop, number).outcome != "exact":
                raise AssertionError(f"'{number}' was not found")

    return run
