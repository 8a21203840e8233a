"""Containers: what a customer's machines run."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sqlalchemy import Connection, Select, insert, select

from service.store.database import next_id
from service.store.tables import Container, KitContainer, table_of
from service.store.values import ContainerRow

CONTAINER_COLUMNS = (
    Container.id,
    Container.customer_id,
    Container.design,
    Container.nominal_digits,
    Container.name,
    Container.nominal,
    Container.unit,
    Container.shape,
    Container.diameter_mm,
    Container.width_mm,
    Container.depth_mm,
    Container.min_body_mm,
    Container.max_body_mm,
    Container.height_mm,
    Container.neck_finish,
    Container.drawing_issue,
)
"""The columns of a ``ContainerRow``, in its order."""

_CONTAINERS: Select[*tuple[Any, ...]] = select(*CONTAINER_COLUMNS)


def find_container(connection: Connection, customer_id: int, design: str, nominal_digits: int) -> ContainerRow | None:
    """A customer's container by design letter and nominal digits."""
    row = connection.execute(
        _CONTAINERS.where(
            Container.customer_id == customer_id,
            Container.design == design,
            Container.nominal_digits == nominal_digits,
        )
    ).one_or_none()
    return None if row is None else ContainerRow(*row)


def containers_of(connection: Connection, customer_id: int, nominal_digits: int) -> tuple[ContainerRow, ...]:
    """Every container of a customer with these nominal digits, in the order in which they were registered."""
    rows = connection.execute(
        _CONTAINERS.where(Container.customer_id == customer_id, Container.nominal_digits == nominal_digits).order_by(
            Container.id
        )
    )
    return tuple(ContainerRow(*row) for row in rows)


def further_containers(connection: Connection, kit_id: int) -> tuple[ContainerRow, ...]:
    """The containers that a kit serves besides its primary one."""
    rows = connection.execute(
        _CONTAINERS.join(KitContainer, KitContainer.container_id == Container.id)
        .where(KitContainer.kit_id == kit_id)
        .order_by(Container.id)
    )
    return tuple(ContainerRow(*row) for row in rows)


def add_container(
    connection: Connection,
    *,
    customer_id: int,
    design: str,
    nominal_digits: int,
    name: str,
    nominal: str,
    unit: str,
    shape: str | None = None,
    diameter_mm: float | None = None,
    width_mm: float | None = None,
    depth_mm: float | None = None,
    min_body_mm: float | None = None,
    max_body_mm: float | None = None,
    height_mm: float | None = None,
    neck_finish: str | None = None,
    drawing_issue: str | None = None,
) -> ContainerRow:
    """Register a container. ``nominal`` is the exact content in ``unit``, as text, so that 12.5 stays 12.5."""
    made = ContainerRow(
        id=next_id(connection, Container),
        customer_id=customer_id,
        design=design,
        nominal_digits=nominal_digits,
        name=name,
        nominal=nominal,
        unit=unit,
        shape=shape,
        diameter_mm=diameter_mm,
        width_mm=width_mm,
        depth_mm=depth_mm,
        min_body_mm=min_body_mm,
        max_body_mm=max_body_mm,
        height_mm=height_mm,
        neck_finish=neck_finish,
        drawing_issue=drawing_issue,
    )
    connection.execute(insert(table_of(Container)), asdict(made))
    return made
