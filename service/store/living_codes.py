"""The codes that are alive: in use by a kit that is not retired. One question each."""

from __future__ import annotations

from sqlalchemy import ColumnElement, Connection, and_, exists, or_, select, union

from service.store.tables import Assembly, Container, Kit, KitContainer, Line, Machine, Placement, Plant


def living_containers(connection: Connection, plant_id: int) -> tuple[str, ...]:
    """The containers, such as ``A500``, of the kits in use whose machine was born in a plant or stands there now."""
    codes = (Container.design, Container.nominal_digits)
    primary = select(*codes).join(Kit, Kit.container_id == Container.id).where(_used_in(plant_id))
    further = (
        select(*codes)
        .join(KitContainer, KitContainer.container_id == Container.id)
        .join(Kit, Kit.id == KitContainer.kit_id)
        .where(_used_in(plant_id))
    )
    return tuple(sorted(f"{design}{digits}" for design, digits in connection.execute(union(primary, further))))


def living_assemblies(connection: Connection, plant_id: int) -> tuple[str, ...]:
    """The letters of the assemblies, such as ``SW``, of the kits in use in a plant."""
    found = select(Assembly.code).distinct().join(Kit, Kit.id == Assembly.kit_id).where(_used_in(plant_id))
    return tuple(sorted(connection.scalars(found)))


def living_plants(connection: Connection) -> tuple[str, ...]:
    """The plants that a kit in use was numbered for, and those that have no kit yet."""
    kits = select(Kit.id).join(Machine, Machine.id == Kit.machine_id).join(Line, Line.id == Machine.born_line_id)
    here = kits.where(Line.plant_id == Plant.id)
    found = select(Plant.code).where(or_(exists(here.where(Kit.status == "issued")), ~exists(here)))
    return tuple(sorted(connection.scalars(found)))


def _used_in(plant_id: int) -> ColumnElement[bool]:
    born = select(Machine.id).join(Line, Line.id == Machine.born_line_id).where(Line.plant_id == plant_id)
    here = (
        select(Placement.machine_id)
        .join(Line, Line.id == Placement.line_id)
        .where(Line.plant_id == plant_id, Placement.until_at.is_(None))
    )
    return and_(Kit.status == "issued", or_(Kit.machine_id.in_(born), Kit.machine_id.in_(here)))
