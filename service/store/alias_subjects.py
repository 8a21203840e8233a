"""What aliases name, by the designation that each thing has in this shop."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection, func, select
from sqlalchemy.orm import aliased

from service.store.aliases import AliasRow, SubjectKind
from service.store.chunks import chunks
from service.store.placements import machines_by_ids, places_by_ids
from service.store.tables import Container, IssuedKey, Kit, Plant, Segment


@dataclass(frozen=True, slots=True)
class ContainerName:
    """A customer's container: its row id, and its code behind the code of the customer's first plant, ``OSV-A500``."""

    id: int
    designation: str


_Owned = aliased(Plant)
_FIRST_PLANT = (
    select(func.min(_Owned.id))
    .where(_Owned.customer_id == Container.customer_id)
    .correlate(Container)
    .scalar_subquery()
)
_CONTAINERS = select(Container.id, Container.design, Container.nominal_digits, Plant.code).join(
    Plant, Plant.id == _FIRST_PLANT
)


def containers_called(
    connection: Connection, design: str, nominal_digits: int, *, plant: str | None = None
) -> tuple[ContainerName, ...]:
    """The containers with a code, of every customer, or of the one whose plant has this code."""
    query = _CONTAINERS.where(Container.design == design, Container.nominal_digits == nominal_digits)
    if plant is not None:
        owner = aliased(Plant)
        query = query.where(
            Container.customer_id == select(owner.customer_id).where(owner.code == plant).scalar_subquery()
        )
    return tuple(
        ContainerName(id_, f"{code}-{letter}{digits}")
        for id_, letter, digits, code in connection.execute(query.order_by(Container.id))
    )


def segment_ids(connection: Connection, numbers: Collection[str]) -> dict[str, int]:
    """The row ids of the segments with these printed numbers, by number; those never issued are left out."""
    query = select(Segment.number, Segment.id)
    return {
        row[0]: row[1] for some in chunks(numbers) for row in connection.execute(query.where(Segment.number.in_(some)))
    }


def segments_by_key(connection: Connection, keys: Collection[str]) -> dict[str, tuple[int, str]]:
    """Row id and number of the segments that these keys of eight symbols belong to, by key, those of pieces too."""
    query = select(IssuedKey.key, Segment.id, Segment.number).join(Segment, Segment.id == IssuedKey.segment_id)
    return {
        key: (id_, number)
        for some in chunks(keys)
        for key, id_, number in connection.execute(query.where(IssuedKey.key.in_(some)))
    }


def designations(connection: Connection, kind: SubjectKind, subject_ids: Collection[int]) -> dict[int, str]:
    """How each of these things is designated: a segment and a kit by number, a machine as born, a container by code."""
    return _DESIGNATED[kind](connection, subject_ids)


def named_by(connection: Connection, rows: Collection[AliasRow]) -> Mapping[tuple[SubjectKind, int], str]:
    """The designation of everything that these aliases name."""
    ids: dict[SubjectKind, set[int]] = {}
    for row in rows:
        ids.setdefault(row.kind, set()).add(row.subject_id)
    return {
        (kind, id_): name for kind, some in ids.items() for id_, name in designations(connection, kind, some).items()
    }


def _segments(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    query = select(Segment.id, Segment.number)
    return {row[0]: row[1] for some in chunks(ids) for row in connection.execute(query.where(Segment.id.in_(some)))}


def _kits(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    query = select(Kit.id, Kit.number)
    return {row[0]: row[1] for some in chunks(ids) for row in connection.execute(query.where(Kit.id.in_(some)))}


def _plants(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    query = select(Plant.id, Plant.code)
    return {row[0]: row[1] for some in chunks(ids) for row in connection.execute(query.where(Plant.id.in_(some)))}


def _containers(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    return {
        id_: f"{code}-{letter}{digits}"
        for some in chunks(ids)
        for id_, letter, digits, code in connection.execute(_CONTAINERS.where(Container.id.in_(some)))
    }


def _machines(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    return {record.machine.id: record.designation for record in machines_by_ids(connection, ids)}


def _lines(connection: Connection, ids: Collection[int]) -> dict[int, str]:
    return {id_: place.designation for id_, place in places_by_ids(connection, ids).items()}


_DESIGNATED: Mapping[SubjectKind, Callable[[Connection, Collection[int]], dict[int, str]]] = {
    "plant": _plants,
    "line": _lines,
    "machine": _machines,
    "container": _containers,
    "kit": _kits,
    "segment": _segments,
}
