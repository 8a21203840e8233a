"""The shop's own facts: what every plate says of it, and its code tables."""

from __future__ import annotations

from dataclasses import asdict
from typing import get_args

from schemas.answers import CodeAnswer, CodeListAnswer, ShopAnswer
from schemas.requests import CodeRequest, ShopRequest
from service.numbering.tables import CodeTables, TableName
from service.store import codes, events, shop
from service.store.values import ShopFacts
from service.work.once import NO_RETRY, Retry, once
from service.work.seen import Seen, refuse_stale, tag_of
from service.work.workshop import SERVICE, Actor, Workshop


def shop_facts(workshop: Workshop) -> ShopAnswer:
    """Name, address and telephone; empty until they are set."""
    with workshop.database.read() as connection:
        return _answer(shop.shop_facts(connection))


def set_shop_facts(
    workshop: Workshop, request: ShopRequest, *, seen: Seen | None = None, actor: Actor = SERVICE
) -> ShopAnswer:
    """Change what plates say from now on; plates that are made keep what they say.

    Args:
        workshop: whose facts.
        request: all facts as they are from now on.
        seen: the states of which the change was made, None for any.
        actor: who changes them.

    Raises:
        StaleEdit: somebody else changed them since.
    """
    facts = ShopFacts(**{**request.model_dump(), "address": request.address.strip()})
    with workshop.database.write() as connection:
        before = _answer(shop.shop_facts(connection))
        after = _answer(facts)
        refuse_stale(seen, tag_of(before), what="the facts of the shop")
        if before != after:
            shop.set_shop(connection, facts)
            events.record(
                connection,
                at=workshop.now(),
                actor=actor.name,
                verb="correct",
                subject="shop",
                before=before.model_dump(),
                after=after.model_dump(),
            )
        return after


def list_codes(workshop: Workshop) -> CodeListAnswer:
    """Every code that a number may hold."""
    with workshop.database.read() as connection:
        return _codes(codes.code_tables(connection))


def add_code(
    workshop: Workshop, request: CodeRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> CodeListAnswer:
    """Add a code to one of the tables, for good.

    Raises:
        BadCode: the code is malformed.
        CodeTooAlike: it is in the table, or looks or sounds like one that is.
    """
    code = request.code.strip().upper()
    with workshop.database.write() as connection:

        def work() -> CodeListAnswer:
            tables = codes.add_code(connection, request.table, code, request.name)
            events.record(
                connection,
                at=workshop.now(),
                actor=actor.name,
                verb="add code",
                subject=f"{request.table} {code}",
                before=None,
                after={"code": code, "name": request.name},
            )
            return _codes(tables)

        return once(connection, retry, CodeListAnswer, workshop.now(), work)


def _answer(facts: ShopFacts) -> ShopAnswer:
    return ShopAnswer(**asdict(facts))


def _codes(tables: CodeTables) -> CodeListAnswer:
    names: tuple[TableName, ...] = get_args(TableName)
    return CodeListAnswer(
        codes=tuple(
            CodeAnswer(table=table, code=code, name=name)
            for table in names
            for code, name in tables.codes(table).items()
        ),
        design_letters=tuple(tables.design_letters_in_order()),
    )
