"""Rows out as lines and in again: whatever the tables and the values are, on either kind of database."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import (
    Boolean,
    Column,
    Connection,
    Double,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    delete,
    insert,
    inspect,
    text,
)

from service.errors import BadArchive
from service.store.database import Database
from service.store.dump import TableShape, first_filled, lines, shapes
from service.store.load import load, references_later
from service.store.tables import Base
from tests.postgres import PostgresServer

METADATA = MetaData()
# The names would sort the child first.
# A server that sorts as a dictionary does, whatever the machine of the test is set to.
BY_DICTIONARY = String(40).with_variant(String(40, collation="und-x-icu"), "postgresql")
PARENT = Table("wheel", METADATA, Column("code", BY_DICTIONARY, primary_key=True))
CHILD = Table(
    "pocket",
    METADATA,
    Column("wheel", BY_DICTIONARY, ForeignKey("wheel.code"), primary_key=True),
    Column("id", Integer, primary_key=True),
    Column("width_mm", Double),
    Column("note", String(40)),
    Column("open", Boolean),
    Column("drawing", LargeBinary),
    Column("order", Integer),
)
CHAIN = Table("link", METADATA, Column("id", Integer, primary_key=True), Column("next_id", ForeignKey("link.id")))

TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12)
ROW = st.fixed_dictionaries(
    {
        "id": st.integers(-(2**31), 2**31 - 1),
        "width_mm": st.none() | st.floats(allow_nan=False, allow_infinity=False),
        "note": st.none() | TEXT,
        "open": st.none() | st.booleans(),
        "drawing": st.none() | st.binary(max_size=20),
        "order": st.none() | st.integers(-(2**31), 2**31 - 1),
    }
)


@pytest.fixture(scope="module")
def both(postgres: PostgresServer, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Database, Database]]:
    """One database of each kind with the three tables above."""
    with contextlib.ExitStack() as opened:
        urls = (f"sqlite:///{tmp_path_factory.mktemp('dump') / 'odd.db'}", postgres.url(postgres.create_database()))
        file, server = (opened.enter_context(contextlib.closing(Database(url))) for url in urls)
        for database in (file, server):
            with database.write() as connection:
                METADATA.create_all(connection)
        yield file, server


def written(connection: Connection) -> dict[str, bytes]:
    return {shape.name: b"".join(block for _, block in lines(connection, shape)) for shape in shapes(connection)}


@settings(max_examples=60, deadline=None)
@given(codes=st.lists(TEXT, min_size=1, max_size=4, unique=True), rows=st.lists(ROW, max_size=5))
def test_any_row_comes_back_and_gives_the_same_bytes_on_both_kinds(
    both: tuple[Database, Database], codes: list[str], rows: list[dict[str, object]]
) -> None:
    unique = list({(row["id"], codes[at % len(codes)]): row for at, row in enumerate(rows)}.items())
    start, other = both
    with start.write() as connection:
        for table in (CHILD, PARENT):
            connection.execute(delete(table))
        connection.execute(insert(PARENT), [{"code": code} for code in codes])
        for (_, code), row in unique:
            connection.execute(insert(CHILD), {**row, "wheel": code})
        before = written(connection)
    for source, target in ((start, other), (other, start)):
        with source.read() as connection:
            taken = written(connection)
        with target.write() as connection:
            for table in (CHILD, PARENT):
                connection.execute(delete(table))
            for shape in shapes(connection):
                load(connection, shape, taken[shape.name].splitlines(keepends=True), place=shape.name)
            assert written(connection) == taken == before


def test_rows_stand_in_the_order_of_their_bytes_whatever_the_machine_sorts_by(both: tuple[Database, Database]) -> None:
    codes = ["a", "B", "é", "Z", "_", "ä", "10", "9", "Ω", "\U0001f600", "\uffff"]
    for database in both:
        with database.write() as connection:
            for table in (CHILD, PARENT):
                connection.execute(delete(table))
            connection.execute(insert(PARENT), [{"code": code} for code in codes])
            shape = next(shape for shape in shapes(connection) if shape.name == "wheel")
            found = [json.loads(line)["code"] for _, block in lines(connection, shape) for line in block.splitlines()]
            assert found == sorted(codes, key=str.encode)
            connection.rollback()


def test_a_row_may_refer_to_a_later_one_and_the_references_are_those_of_before(both: tuple[Database, Database]) -> None:
    ring = [b'{"id":1,"next_id":2}\n', b'{"id":2,"next_id":3}\n', b'{"id":3,"next_id":1}\n']
    for database in both:
        with database.write() as connection:
            before = inspect(connection).get_foreign_keys("pocket") + inspect(connection).get_foreign_keys("link")
            with references_later(connection):
                load(connection, LINK, ring, place="link")
            after = inspect(connection).get_foreign_keys("pocket") + inspect(connection).get_foreign_keys("link")
            assert after == before != []
            connection.rollback()


def test_a_row_that_refers_to_nothing_is_refused(both: tuple[Database, Database]) -> None:
    for database in both:
        with (
            pytest.raises(BadArchive, match="link"),
            database.write() as connection,
            references_later(connection),
        ):
            load(connection, LINK, [b'{"id":1,"next_id":99}\n'], place="link")
        with database.read() as connection:
            assert connection.scalar(text("SELECT count(*) FROM link")) == 0


LINK = TableShape("link", {"id": "integer", "next_id": "integer"}, ("id",))
POCKET = TableShape(
    "pocket",
    {
        "drawing": "bytes",
        "id": "integer",
        "note": "text",
        "open": "boolean",
        "order": "integer",
        "wheel": "text",
        "width_mm": "number",
    },
    ("wheel", "id"),
)
GOOD = '{"drawing":"AAE=","id":1,"note":"n","open":true,"order":2,"wheel":"A","width_mm":1.5}'


@pytest.mark.parametrize(
    "line",
    [
        "",
        "[]",
        "null",
        "{}",
        '"text"',
        GOOD[:-1],
        GOOD + GOOD,
        f"{GOOD},{GOOD}",
        GOOD.replace('"note":"n",', ""),
        GOOD.replace('"n"', '"n","more":1'),
        GOOD.replace('"note"', '"nota"'),
        GOOD.replace('"id":1', '"id":"1"'),
        GOOD.replace('"id":1', '"id":1.0'),
        GOOD.replace('"id":1', '"id":true'),
        GOOD.replace('"n"', "7"),
        GOOD.replace("true", "1"),
        GOOD.replace("1.5", "1"),
        GOOD.replace("1.5", "NaN"),
        GOOD.replace("1.5", "Infinity"),
        GOOD.replace("AAE=", "AAE"),
        GOOD.replace("AAE=", "Ä"),
        "[" * 100_000,
    ],
)
def test_a_line_that_is_no_row_is_named(both: tuple[Database, Database], line: str) -> None:
    second = GOOD.replace('"id":1', '"id":2')
    for database in both:
        with database.write() as connection:
            with pytest.raises(BadArchive) as caught:
                load(connection, POCKET, [f"{one}\n".encode() for one in (second, line)], place="tables/pocket.jsonl")
            assert caught.value.place == "tables/pocket.jsonl line 2"
            connection.rollback()


@pytest.mark.parametrize(
    ("good", "bad"),
    [('"id":1', '"id":99999999999999999999'), ('"id":1', '"id":null'), ('"A"', r'"\ud800"'), ('"A"', "null")],
)
def test_a_row_that_the_database_refuses_is_named(both: tuple[Database, Database], good: str, bad: str) -> None:
    line = f"{GOOD.replace(good, bad)}\n".encode()
    for database in both:
        with database.write() as connection:
            connection.execute(insert(PARENT), {"code": "a wheel of its own"})
            with pytest.raises(BadArchive, match="does not take"):
                load(connection, POCKET, [line], place="tables/pocket.jsonl")
            connection.rollback()


def test_text_in_a_column_of_numbers_is_never_written_out(both: tuple[Database, Database]) -> None:
    file, _server = both
    with file.write() as connection:
        connection.execute(insert(PARENT), {"code": "W"})
        connection.execute(text("""INSERT INTO pocket (wheel, id, "order") VALUES ('W', 1, 'first')"""))
        with pytest.raises(ValueError, match="'order' of 'pocket' holds str"):
            written(connection)
        connection.rollback()


def test_every_table_of_the_service_is_walked_its_parents_first(database: Database) -> None:
    with database.read() as connection:
        found = shapes(connection)
        assert first_filled(connection, found) is None
    assert {shape.name: set(shape.columns) for shape in found} == {
        name: set(table.columns.keys()) for name, table in Base.metadata.tables.items()
    }
    order = [shape.name for shape in found]
    for shape in found:
        table = Base.metadata.tables[shape.name]
        assert shape.primary_key == tuple(table.primary_key.columns.keys()) != ()
        for key in table.foreign_keys:
            parent = key.column.table.name
            assert parent == shape.name or order.index(parent) < order.index(shape.name)


def test_both_kinds_walk_in_the_same_order(migrated_sqlite: Path, postgres: PostgresServer) -> None:
    name = postgres.create_database()
    with contextlib.closing(Database(postgres.url(name))) as server:
        server.migrate()
        with server.read() as connection:
            there = shapes(connection)
    with contextlib.closing(Database(f"sqlite:///{migrated_sqlite}")) as file, file.read() as connection:
        assert shapes(connection) == there
    postgres.drop_database(name)
