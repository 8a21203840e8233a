"""What the shop says of itself."""

from __future__ import annotations

from dataclasses import asdict

from sqlalchemy import Connection, insert, select, update

from service.store.tables import Shop, table_of
from service.store.values import ShopFacts

_FACTS = select(Shop.name, Shop.address, Shop.telephone, Shop.street, Shop.postal_code, Shop.town, Shop.country)


def shop_facts(connection: Connection) -> ShopFacts:
    """Name, address, also in parts, and telephone; empty texts until they are set."""
    row = connection.execute(_FACTS).one_or_none()
    return ShopFacts("", "", "") if row is None else ShopFacts(*row)


def set_shop(connection: Connection, facts: ShopFacts) -> None:
    """Write what every plate says of the shop from now on."""
    shop = table_of(Shop)
    values = asdict(facts)
    if connection.execute(update(shop), values).rowcount == 0:
        connection.execute(insert(shop), {"id": 1, **values})
