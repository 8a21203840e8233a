"""What preparing looked at still holds until somebody writes something that changes it."""

from __future__ import annotations

from schemas.manifest_reading import read_manifest
from schemas.requests import ShopRequest
from service.work.prepare import Prepared, prepare, still_holds
from service.work.shop_facts import set_shop_facts
from service.work.workshop import Workshop
from tests.small_kit import as_bytes, issue_small, manifest, release


def prepared(workshop: Workshop) -> Prepared:
    with workshop.database.read() as connection:
        return prepare(workshop, connection, read_manifest(as_bytes(manifest())))


def holds(workshop: Workshop, looked_at: Prepared) -> bool:
    with workshop.database.read() as connection:
        return still_holds(looked_at, connection, read_manifest(as_bytes(manifest())))


def test_it_holds_while_nobody_writes(stocked: Workshop) -> None:
    assert holds(stocked, prepared(stocked))


def test_it_holds_after_a_write_that_changes_nothing_of_it(stocked: Workshop) -> None:
    looked_at = prepared(stocked)
    release(stocked, "SW7-U1")
    assert prepared(stocked).journal > looked_at.journal
    assert holds(stocked, looked_at)


def test_it_holds_no_more_when_the_shop_bears_another_name(stocked: Workshop) -> None:
    looked_at = prepared(stocked)
    set_shop_facts(stocked, ShopRequest(name="Kitwright demo shop", address="3 Mill Lane", telephone="+44 1632 960118"))
    assert not holds(stocked, looked_at)


def test_it_holds_no_more_when_the_kit_was_issued(stocked: Workshop) -> None:
    looked_at = prepared(stocked)
    issue_small(stocked)
    assert not holds(stocked, looked_at)
