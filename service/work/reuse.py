"""Whether a kit was made for the machine as it is now: surveys that came after it, and who held it against them."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Connection

from service.rules.survey import check_before_reuse
from service.store import kits, surveys
from service.store.values import KitRow
from service.work.plates import kit_on_record
from service.work.workshop import Workshop


def reasons_to_check(connection: Connection, kit: KitRow) -> tuple[str, ...]:
    """Why a kit must be held against its machine before it is used again; empty when nothing speaks for it."""
    found = surveys.surveys_of(connection, kit.machine.id)
    if not found:
        return ()
    rows = (*kits.kit_segments(connection, kit.id), *kits.shared_into(connection, kit.id))
    return check_before_reuse(
        [row.survey for row in found],
        kit=kit.id,
        checked=surveys.checked_with(connection, kit.id),
        rotation=kit.machine.rotation,
        decks={row.deck for row in rows if not row.voided},
    )


def why_to_check(workshop: Workshop, number: str) -> tuple[str, ...]:
    """The same for whoever stands at the machine with a part of the kit; raises KitUnknown."""
    with workshop.database.read() as connection:
        return reasons_to_check(connection, kit_on_record(connection, number))


def kits_to_check(connection: Connection, numbers: Iterable[str]) -> tuple[str, ...]:
    """Which of these kits must be held against their machine; retired ones are not used again."""
    found = (kit_on_record(connection, number) for number in numbers)
    return tuple(kit.number for kit in found if kit.status != "retired" and reasons_to_check(connection, kit))
