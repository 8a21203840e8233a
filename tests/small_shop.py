"""A shop in which a bit of everything has happened, and all of its rows asked for with plain SQL."""

from __future__ import annotations

from sqlalchemy import inspect, text

from schemas.answers import KitAnswer
from schemas.print_jobs import PrintJobRequest
from schemas.requests import CodeRequest, FittedRequest, ReorderRequest, ShopRequest
from service.work.engrave import engrave_segment
from service.work.fit import fit_reorder
from service.work.once import Retry
from service.work.print_jobs import start_print_job
from service.work.reorder import reorder
from service.work.shop_facts import add_code, set_shop_facts
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.printers.scripted import answering, describing, scripted
from tests.small_kit import NUMBER_U3, file_of, issue_small, make_dxf, release, release_all


def live(workshop: Workshop) -> KitAnswer:
    """A shop in which a bit of everything has happened."""
    set_shop_facts(workshop, ShopRequest(name="Größe & Söhne\u2028", address="1 Router Lane", telephone="+00 555 0100"))
    add_code(workshop, CodeRequest(table="assembly", code="FX", name="vane"))
    release_all(workshop)
    kit = issue_small(workshop)
    release(workshop, "SW2-U3", revision="A", data=make_dxf(corner=(-150.3, -150.3), hole_mm=22.0))
    engrave_segment(workshop, NUMBER_U3, form="dxf")
    request = ReorderRequest.model_validate({"mark": NUMBER_U3, "reason": "crushed"})
    order = reorder(workshop, request, retry=Retry.of("first", "POST /api/reorders", b"{}"))
    fit_reorder(workshop, order.id, FittedRequest(deviations="pocket 2 opened by hand"))
    withdraw_revision(workshop, file_of("SW2-U3"), "A", "dovetail too tight")
    return kit


def put_print_job(workshop: Workshop, mark: str) -> int:
    """A print job that waits to be begun, and its id; the printer was asked and has answered, and is gone again."""
    with scripted(answering(0, describing())) as printer:
        asked = PrintJobRequest.model_validate({"marks": [mark], "printer": printer.uri})
        return start_print_job(workshop, asked, any_address=True).id


def rows(workshop: Workshop) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables; columns and rows in an order that both kinds of database share."""
    with workshop.database.read() as connection:
        inspector = inspect(connection)
        found = {}
        for table in sorted(set(inspector.get_table_names()) - {"alembic_version"}):
            names = ", ".join(f'"{name}"' for name in sorted(one["name"] for one in inspector.get_columns(table)))
            asked = connection.execute(text(f'SELECT {names} FROM "{table}"'))
            # One kind of database has no truth values of its own.
            found[table] = sorted(
                (tuple(int(v) if v is True or v is False else v for v in row) for row in asked), key=repr
            )
        return found


def is_empty(workshop: Workshop) -> bool:
    """Whether no table holds a row."""
    return not any(rows(workshop).values())
