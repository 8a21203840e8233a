"""The nameplate of a segment, or of one of its pieces, as data for other programs."""

from __future__ import annotations

from service.render.nameplate_json import Missing, ShopAddress, nameplate_json
from service.store import shop
from service.work.plates import segment_plates
from service.work.read import find_active
from service.work.workshop import Workshop


def nameplate_data(workshop: Workshop, mark: str) -> tuple[bytes, tuple[Missing, ...]]:
    """One nameplate for each piece that bears a mark of its own, and what the standard wants and is not on record.

    Nothing is printed by it, so nothing goes on record.

    Raises:
        MarkUnknown, AmbiguousMark, PlaceVoided: no segment in use bears this mark, or several may.
    """
    with workshop.database.read() as connection:
        plates = segment_plates(workshop, connection, find_active(connection, mark, field="number"))
        facts = shop.shop_facts(connection)
    address = ShopAddress(street=facts.street, zipcode=facts.postal_code, town=facts.town, country=facts.country)
    return nameplate_json([plate.facts for plate in plates], address)
