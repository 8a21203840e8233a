"""Issuing a kit: the store, and the whole verb, beside the same rows put in by hand; and where the time of it goes."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection, text

from schemas.manifest import KitManifest
from service.settings import SHIPPED_TEMPLATES
from service.store import codes, kits, plants, shop, sqlite
from service.store.database import Database
from service.store.kits import NewKit
from service.store.template_folder import read_templates
from service.store.values import RevisionRow
from service.store.vault import Vault
from service.work.draft import draft_kit
from service.work.issue import fresh_keys, issue_kit, new_kit
from service.work.joints import forget_compared, touching
from service.work.mark_lint import lint_marks
from service.work.prepare import prepare
from service.work.rendering import RenderRoom
from service.work.workshop import Workshop
from tests.bench.demo_kits import DemoKits
from tests.bench.rounds import ROUNDS, Comparison, Contestant
from tests.factories import NOW

SEGMENTS = 200
_TABLES = ("kit", "assembly", "segment", "piece", "issued_key", "joint", "event")
Row = tuple[object, ...]
T = TypeVar("T")


@contextmanager
def comparisons(*, segments: int = SEGMENTS, rounds: int = ROUNDS) -> Iterator[list[Comparison]]:
    """One shop three times over, so that each way of writing finds what the others find."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        with _workshop(folder, "begun") as begun:
            made = DemoKits(begun, segments=segments)
            _register(begun, made, rounds + 1)
            new = _new_kits(begun, made, rounds + 1)
        for name in ("read", "hand", "store", "verb"):
            shutil.copy(folder / "begun.db", folder / f"{name}.db")
        with _workshop(folder, "read") as scratch:
            rows = [_rows_of(scratch, made.manifest(machine)) for machine in range(1, rounds + 2)]
        hand = opened.enter_context(closing(sqlite.connect(str(folder / "hand.db"), wait_s=1)))
        store = opened.enter_context(_workshop(folder, "store"))
        verb = opened.enter_context(_workshop(folder, "verb"))
        by_hand = _taking_turns(rows, lambda kit: _by_hand(hand, kit))
        in_store = _taking_turns(new, lambda kit: _in_store(store, kit))
        turns = [_manifests(made, rounds + 1, first=rounds + 2 + turn * (rounds + 1)) for turn in range(3)]
        anew = _taking_turns(turns[0], lambda manifest: _issue_anew(verb, manifest))
        whole = _taking_turns(turns[1], lambda manifest: issue_kit(verb, manifest))
        again = _taking_turns(turns[2], lambda manifest: issue_kit(verb, manifest))
        yield [
            Comparison(
                title=f"Issuing a kit of {segments} segments, SQLite, synchronous=FULL",
                unit="kit",
                yardstick=Contestant(name="the same rows by executemany", run=by_hand),
                others=[
                    Contestant(name="add_kit of the store", run=in_store),
                    Contestant(name="issue_kit after its dry run", run=whole),
                    Contestant(name="issue_kit of outlines never compared before", run=anew),
                ],
                goals={
                    "add_kit of the store": 1.5,
                    "issue_kit after its dry run": 3.0,
                    "issue_kit of outlines never compared before": 3.0,
                },
                rounds=rounds,
            ),
            Comparison(
                title="Where the time of issue_kit goes (the rest: keys, rows, the answer, the journal)",
                unit="kit",
                yardstick=Contestant(name="issue_kit after its dry run", run=again),
                others=_stages(verb, made.manifest(98)),
                rounds=rounds,
            ),
        ]


@contextmanager
def _workshop(folder: Path, name: str) -> Iterator[Workshop]:
    with closing(Database(f"sqlite:///{folder / name}.db")) as database:
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


def _register(workshop: Workshop, made: DemoKits, count: int) -> None:
    """Put the plant, the container and the machines of ``count`` kits on record."""
    issue_kit(workshop, made.manifest(99))
    with workshop.database.write() as connection:
        plant = plants.find_plant(connection, "OSV")
        assert plant is not None
        line = plants.find_line(connection, plant.id, 4)
        assert line is not None
        for machine in range(1, count + 1):
            plants.add_machine(
                connection,
                line_id=line.id,
                machine_class="FC",
                ordinal=machine,
                name="filler-capper",
                rotation="clockwise",
                at=NOW,
            )


def _new_kits(workshop: Workshop, made: DemoKits, count: int) -> list[NewKit]:
    """Kits as the verb would write them."""
    found = []
    with workshop.database.read() as connection:
        for machine in range(1, count + 1):
            prepared = prepare(workshop, connection, made.manifest(machine))
            registered, keys = prepared.draft.registered, fresh_keys(connection, 2 * len(prepared.draft.segments))
            assert registered.machine is not None
            assert registered.container is not None
            found.append(
                new_kit(prepared, keys, machine_id=registered.machine.id, container_id=registered.container.id, now=NOW)
            )
    return found


def _rows_of(workshop: Workshop, manifest: KitManifest) -> dict[str, list[Row]]:
    """Every row that issuing a kit writes, its line of the journal too."""
    with workshop.database.read() as connection:
        before = {table: _count(connection, table) for table in _TABLES}
    issue_kit(workshop, manifest)
    with workshop.database.read() as connection:
        return {
            table: [
                tuple(row) for row in connection.execute(text(f"SELECT * FROM {table} ORDER BY rowid")).all()[start:]
            ]
            for table, start in before.items()
        }


def _count(connection: Connection, table: str) -> int:
    return int(connection.execute(text(f"SELECT count(*) FROM {table}")).scalar_one())


def _manifests(made: DemoKits, count: int, *, first: int) -> list[KitManifest]:
    return [made.manifest(machine) for machine in range(first, first + count)]


def _issue_anew(workshop: Workshop, manifest: KitManifest) -> None:
    forget_compared()
    issue_kit(workshop, manifest)


def _by_hand(connection: sqlite3.Connection, kit: dict[str, list[Row]]) -> None:
    connection.execute("BEGIN IMMEDIATE")
    for table, rows in kit.items():
        connection.executemany(f"INSERT INTO {table} VALUES ({', '.join('?' * len(rows[0]))})", rows)
    connection.execute("COMMIT")


def _in_store(workshop: Workshop, kit: NewKit) -> None:
    with workshop.database.write() as connection:
        kits.add_kit(connection, kit)


def _taking_turns(things: Iterable[T], do: Callable[[T], object]) -> Callable[[], object]:
    """Something to run once a round, each time with the next thing."""
    waiting = iter(things)
    return lambda: do(next(waiting))


def _stages(workshop: Workshop, manifest: KitManifest) -> list[Contestant]:
    """The parts of preparing a kit that is never issued."""
    with workshop.database.read() as connection:
        tables = codes.code_tables(connection)
        facts = shop.shop_facts(connection)
        draft = draft_kit(connection, manifest, tables)
    decks: dict[tuple[int, str], dict[str, RevisionRow]] = {}
    for segment in draft.segments:
        deck = decks.setdefault((segment.assembly, segment.number.place.deck), {})
        deck[segment.printed] = segment.revision

    def drafted() -> None:
        with workshop.database.read() as connection:
            draft_kit(connection, manifest, tables)

    def joined() -> None:
        with workshop.database.read() as connection:
            list(touching(connection, decks.values()))

    def joined_anew() -> None:
        forget_compared()
        joined()

    return [
        Contestant(name="numbers and records", run=drafted),
        Contestant(name="joints, outlines compared before", run=joined),
        Contestant(name="joints, outlines compared now", run=joined_anew),
        Contestant(
            name="every mark laid out and linted",
            run=lambda: lint_marks(workshop.templates, workshop.public_url, draft, facts, tables),
        ),
    ]
