"""The journal, remembered answers, the shop's facts and codes, plants and containers."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from service.errors import BadCode, CodeTooAlike
from service.numbering.tables import DEFAULT_TABLES
from service.store.chain import canonical_json
from service.store.codes import add_code, code_tables
from service.store.containers import containers_of, find_container
from service.store.database import Database
from service.store.events import NewEvent, events_of, record, record_many
from service.store.idempotency import recall, remember
from service.store.plants import add_plant, customer_id, find_line, find_machine, find_plant, plant_codes
from service.store.shop import set_shop, shop_facts
from service.store.values import ShopFacts
from tests.factories import NOW, make_container, make_machine, make_plant

JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@settings(max_examples=150)
@given(value=JSON)
def test_canonical_json_says_the_same_whatever_the_order_of_keys(value: object) -> None:
    text = canonical_json(value)
    assert json.loads(text) == value

    def turned(part: object) -> object:
        if isinstance(part, dict):
            return {key: turned(part[key]) for key in reversed(part)}
        return [turned(item) for item in part] if isinstance(part, list) else part

    assert canonical_json(turned(value)) == text


def test_canonical_json_has_sorted_keys_and_no_blanks() -> None:
    assert canonical_json({"b": [1, None], "a": "Größe 65 mm"}) == '{"a":"Größe 65 mm","b":[1,null]}'
    with pytest.raises(ValueError, match="not JSON compliant"):
        canonical_json(float("nan"))


def test_the_journal_of_a_subject_is_in_order(writing: Connection) -> None:
    record(writing, at=NOW, actor="assembler", verb="issue", subject="OSV4-FC1-A500", after={"segments": 4})
    record_many(
        writing,
        [
            NewEvent(at=NOW, actor="desk", verb="void", subject="OSV4-FC1-A500", before={"status": "active"}),
            NewEvent(at=NOW, actor="desk", verb="void", subject="OSV4-FC1-C500"),
        ],
    )
    record_many(writing, [])
    rows = events_of(writing, "OSV4-FC1-A500")
    assert [(row.id, row.verb, row.before, row.after) for row in rows] == [
        (1, "issue", None, '{"segments":4}'),
        (2, "void", '{"status":"active"}', None),
    ]
    assert events_of(writing, "MRG") == ()


def test_an_answer_is_remembered_for_its_key_and_request_only(writing: Connection) -> None:
    remember(writing, key="k1", request="POST /api/kits", payload_sha256="0" * 64, answer='{"n":1}', answered_at=NOW)
    assert recall(writing, key="k1", request="POST /api/kits") == ("0" * 64, '{"n":1}')
    assert recall(writing, key="k1", request="POST /api/reorders") is None
    assert recall(writing, key="k2", request="POST /api/kits") is None


def test_an_answer_dies_with_the_transaction_that_gave_it(database: Database) -> None:
    def fail_late() -> None:
        with database.write() as connection:
            remember(connection, key="k1", request="r", payload_sha256="0" * 64, answer="{}", answered_at=NOW)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_late()
    with database.read() as connection:
        assert recall(connection, key="k1", request="r") is None


def test_the_shop_has_empty_facts_until_they_are_set(writing: Connection) -> None:
    assert shop_facts(writing) == ShopFacts("", "", "")
    for facts in (ShopFacts("Change parts shop", "Mill Lane 3", "555 0100"), ShopFacts("New name", "", "555 0101")):
        set_shop(writing, facts)
        assert shop_facts(writing) == facts


def test_codes_of_the_shop_come_on_top_of_the_first_ones(writing: Connection) -> None:
    assert code_tables(writing) == DEFAULT_TABLES
    made = add_code(writing, "assembly", "HK", "hook")
    assert code_tables(writing) == made
    assert made.assemblies["HK"] == "hook"
    assert made.assemblies["SW"] == DEFAULT_TABLES.assemblies["SW"]


@pytest.mark.parametrize(
    ("code", "error"), [("HK", CodeTooAlike), ("SW", CodeTooAlike), ("vane", BadCode), ("", BadCode)]
)
def test_a_code_that_the_rules_refuse_is_not_kept(writing: Connection, code: str, error: type[Exception]) -> None:
    before = add_code(writing, "assembly", "HK", "hook")
    with pytest.raises(error):
        add_code(writing, "assembly", code, "another")
    assert code_tables(writing) == before


def test_a_plant_brings_its_customer_once(writing: Connection) -> None:
    assert customer_id(writing, "Tarnquill Waters") is None
    first = make_plant(writing)
    second = add_plant(writing, code="TQW", name="Second works", customer="Tarnquill Waters")
    third = add_plant(writing, code="MRG", name="Marrowgate", customer="Pellworth Sauces")
    assert first.customer_id == second.customer_id == customer_id(writing, "Tarnquill Waters")
    assert third.customer_id != first.customer_id
    assert find_plant(writing, "MRG") == third
    assert find_plant(writing, "XYZ") is None
    assert plant_codes(writing) == ("MRG", "OSV", "TQW")


def test_machines_are_found_where_they_were_born(writing: Connection) -> None:
    made = make_machine(writing)
    line = find_line(writing, 1, 4)
    assert line is not None
    assert (line.name, made.rotation) == ("line 4", "clockwise")
    assert find_machine(writing, line.id, "FC", 1) == made
    assert find_machine(writing, line.id, "FC", 2) is None
    assert find_line(writing, 1, 5) is None


def test_two_containers_of_one_size_are_told_apart(writing: Connection) -> None:
    plant = make_plant(writing)
    round_one = make_container(writing, customer_id=plant.customer_id)
    square = make_container(writing, customer_id=plant.customer_id, design="C", name="square 500 mL")
    make_container(writing, customer_id=plant.customer_id, nominal=330)
    assert containers_of(writing, plant.customer_id, 500) == (round_one, square)
    assert find_container(writing, plant.customer_id, "C", 500) == square
    assert find_container(writing, 99, "C", 500) is None
    assert (square.code, square.nominal, square.unit) == ("C500", "500", "mL")
