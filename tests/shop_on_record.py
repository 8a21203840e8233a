"""Puts an invented shop on record, row by row past the verbs: tables, indexes and triggers are the real ones.

Each segment has a cut file and a revision of its own with the figures of its outline, so that its length and pockets
are its own; the drawing itself is one square for all.
"""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from service.numbering.tables import DEFAULT_TABLES
from service.outlines.drawing import Drawing
from service.outlines.stored import to_bytes
from service.store import sqlite
from service.store.database import Database
from service.store.tables import (
    Assembly,
    Container,
    Customer,
    CutFile,
    Joint,
    Kit,
    Line,
    Machine,
    OutlineFigures,
    Placement,
    Plant,
    Revision,
    Segment,
)
from service.store.tables.base import Base
from tests.bulk_rows import Put, Row, file_put, key_of, server_put
from tests.callers.facts import HANDS, Facts, line_name, machine_name, plant_name
from tests.shop_of_a_million import Shop

_SINCE = "1996-01-01T08:00:00Z"
_MOVED = "2015-06-01T08:00:00Z"
_CACHE_KIB = -512 * 1024

_COLUMNS: dict[type[Base], tuple[str, ...]] = {
    Customer: ("id", "name"),
    Plant: ("id", "code", "name", "customer_id"),
    Line: ("id", "plant_id", "ordinal", "name"),
    Machine: ("id", "born_line_id", "machine_class", "ordinal", "name", "rotation"),
    Placement: ("id", "machine_id", "line_id", "since_at", "until_at"),
    Container: ("id", "customer_id", "design", "nominal_digits", "name", "nominal", "unit"),
    Kit: ("id", "number", "machine_id", "container_id", "stock_colour", "status", "issued_at", "version"),
    Assembly: ("id", "kit_id", "code", "ordinal", "name", "position"),
    CutFile: ("id", "name"),
    Revision: (
        "id", "cut_file_id", "letter", "ordinal", "sha256", "size_bytes", "note", "units", "area_mm2", "width_mm",
        "height_mm", "drawing", "released_at",
    ),
    OutlineFigures: ("revision_id", "length_mm", "breadth_mm", "pockets", "pocket_radius_mm", "holes"),
    Segment: (
        "id", "number", "key", "kit_id", "assembly_id", "deck", "ordinal", "quantity", "hand", "material",
        "stock_colour", "thickness_mm", "mass_kg", "cut_file_id", "revision_id", "status",
    ),
    Joint: ("id", "first_id", "second_id", "form", "clearance_mm", "inferred"),
}  # fmt: skip


def put_on_record(database: Database, shop: Shop) -> None:
    """Write a shop into an empty, migrated database. Row ids are the places in the shop, counted from 1."""
    if database.url.get_backend_name() == "sqlite":
        path = database.url.database or ""
        connection = sqlite.connect(path, wait_s=1)
        # A crash would cost the file.
        connection.execute("PRAGMA synchronous = OFF")
        connection.execute(f"PRAGMA cache_size = {_CACHE_KIB}")
        try:
            connection.execute("BEGIN IMMEDIATE")
            _write(shop, file_put(connection, _COLUMNS))
            connection.execute("COMMIT")
        finally:
            connection.close()
    else:
        with database.write() as shared:
            _write(shop, server_put(shared, _COLUMNS))


def _write(shop: Shop, put: Put) -> None:
    put(Customer, ((one, f"Customer {one}") for one in sorted({plant.customer for plant in shop.plants})))
    put(Plant, ((at, one.code, plant_name(one.code), one.customer) for at, one in enumerate(shop.plants, 1)))
    put(Line, ((at, one.plant + 1, one.ordinal, line_name(one.ordinal)) for at, one in enumerate(shop.lines, 1)))
    put(
        Machine,
        (
            (
                at,
                one.born + 1,
                one.machine_class,
                one.ordinal,
                machine_name(one.machine_class, one.ordinal),
                "clockwise",
            )
            for at, one in enumerate(shop.machines, 1)
        ),
    )
    put(Placement, _placements(shop))
    put(
        Container,
        (
            (
                at,
                one.customer,
                one.design,
                one.nominal,
                f"{one.nominal} {one.unit}, design {one.design}",
                one.nominal,
                one.unit,
            )
            for at, one in enumerate(shop.containers, 1)
        ),
    )
    put(
        Kit,
        (
            (at, one.number, one.machine + 1, one.container + 1, one.stock_colour, "issued", one.issued, 1)
            for at, one in enumerate(shop.kits, 1)
        ),
    )
    assemblies = _assemblies(shop)
    put(Assembly, ((at, *key, *rest) for at, (key, rest) in enumerate(assemblies.items(), 1)))
    put(CutFile, ((at, f"{body.lower()}.dxf") for at, body in enumerate(_bodies(shop), 1)))
    drawing = to_bytes(Drawing(shapely.MultiPolygon([shapely.box(0, 0, 100, 50)]), (), (), (), "mm", 1.0))
    put(
        Revision,
        (
            (at, at, "-", 0, "0" * 64, 1, "", "mm", 5000.0, 100.0, 50.0, drawing, _SINCE)
            for at in range(1, len(shop) + 1)
        ),
    )
    put(OutlineFigures, _figures(shop))
    put(Segment, _segments(shop, {key: at for at, key in enumerate(assemblies, 1)}))
    _, behind = Facts(shop).beside
    pairs = ((at + 1, int(other) + 1) for at, other in enumerate(behind) if other >= 0)
    put(Joint, ((at, *pair, "dovetail", 0.15, False) for at, pair in enumerate(pairs, 1)))


def _bodies(shop: Shop) -> Iterator[str]:
    return (number.rsplit("-", 1)[0] for number in shop.numbers)


def _placements(shop: Shop) -> Iterator[Row]:
    rows: list[Row] = []
    for at, one in enumerate(shop.machines, 1):
        if one.now != one.born:
            rows.append((at, one.born + 1, _SINCE, _MOVED))
        rows.append((at, one.now + 1, _SINCE if one.now == one.born else _MOVED, None))
    return ((at, *row) for at, row in enumerate(rows, 1))


def _assemblies(shop: Shop) -> dict[tuple[int, str, int], tuple[str, int]]:
    """By kit, code and ordinal: the name, and which of its kit it is."""
    found: dict[tuple[int, str, int], tuple[str, int]] = {}
    counts: dict[int, int] = {}
    for kit, place in zip(shop.kit.tolist(), shop.place.tolist(), strict=True):
        code, ordinal, _, _ = _parted(shop.places[place])
        if (kit + 1, code, ordinal) not in found:
            counts[kit] = counts.get(kit, 0) + 1
            found[kit + 1, code, ordinal] = (f"{DEFAULT_TABLES.assemblies[code]} {ordinal}", counts[kit])
    return found


def _parted(place: str) -> tuple[str, int, str, int]:
    assembly, deck = place.split("-")
    return assembly[:2], int(assembly[2:]), deck[0], int(deck[1:])


def _figures(shop: Shop) -> Iterator[Row]:
    for at, (length, pockets) in enumerate(zip(shop.length_mm.tolist(), shop.pockets.tolist(), strict=True), 1):
        length_mm = round(length, 1)
        yield at, length_mm, round(length_mm * 0.4, 1), pockets, 33.0 if pockets else None, 2


def _segments(shop: Shop, assembly_ids: dict[tuple[int, str, int], int]) -> Iterator[Row]:
    colours = [kit.stock_colour for kit in shop.kits]
    columns = zip(
        shop.numbers,
        shop.kit.tolist(),
        shop.place.tolist(),
        shop.hand.tolist(),
        shop.thickness_mm.tolist(),
        strict=True,
    )
    for index, (number, kit, place, hand, thickness) in enumerate(columns):
        code, ordinal, deck, nth = _parted(shop.places[place])
        yield (
            index + 1, number, key_of(index), kit + 1, assembly_ids[kit + 1, code, ordinal], deck, nth, 1,
            HANDS[hand] if hand else None, "UHMW-PE", colours[kit], thickness, 1.0, index + 1, index + 1, "active",
        )  # fmt: skip
