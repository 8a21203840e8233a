"""Plant, line, machine and container of a manifest: found on record, or to be registered with the kit.

What a manifest says of something on record has to agree with the record; it never changes it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import Connection

from schemas.manifest import ContainerPart, KitManifest, MachinePart
from service.findings import Finding, Level
from service.numbering.content import nominal_digits
from service.numbering.tables import CodeTables
from service.store import containers, place_names, placements, plants
from service.store.place_names import NameRow, folded
from service.store.placements import BEGINNING
from service.store.values import ContainerRow, LineRow, MachineRow, PlantRow
from service.work.near_codes import free_letter, near_container, near_plant

CONTAINER_FACTS = (
    "name",
    "unit",
    "shape",
    "diameter_mm",
    "width_mm",
    "depth_mm",
    "min_body_mm",
    "max_body_mm",
    "height_mm",
    "neck_finish",
    "drawing_issue",
)


@dataclass(frozen=True, slots=True)
class Registered:
    """Where the kit belongs: rows on record, None where issuing has to make one; and the names that it goes by.

    ``machine_since`` says since when a machine that issuing makes stands on the line; None for the moment of issue.
    """

    plant: PlantRow | None
    line: LineRow | None
    machine: MachineRow | None
    container: ContainerRow | None
    plant_name: str
    customer: str
    line_name: str
    machine_name: str
    machine_ordinal: int
    machine_since: str | None
    rotation: str | None
    design: str
    nominal_digits: int
    container_facts: ContainerPart
    findings: tuple[Finding, ...]

    @property
    def container_name(self) -> str:
        """The container in words."""
        return self.container.name if self.container else self.container_facts.name or ""


def register_parts(connection: Connection, manifest: KitManifest, tables: CodeTables) -> Registered:
    """Find what is on record and check the manifest against it.

    Raises:
        UnknownCode: the container's unit is in no table.
        DesignLettersSpent: no design letter is left for this nominal size.
    """
    findings: list[Finding] = []
    plant = plants.find_plant(connection, manifest.plant.code)
    line = plants.find_line(connection, plant.id, manifest.line.ordinal) if plant else None
    part = manifest.machine
    following = placements.highest_ordinal(connection, line.id, part.machine_class) + 1 if line else 1
    ordinal = part.ordinal or following
    machine = plants.find_machine(connection, line.id, part.machine_class, ordinal) if line else None
    designation = f"{manifest.plant.code}{manifest.line.ordinal}-{part.machine_class}{ordinal}"
    findings.extend(_ordinal(connection, part, machine, designation, following))

    plant_name, customer = _plant(connection, manifest, plant, findings)
    line_name = manifest.line.name or f"line {manifest.line.ordinal}"
    if line:
        names = place_names.line_names(connection, line.id)
        _named(findings, "line.name", manifest.line.name, names, f"line {line.ordinal}")
        line_name = line.name
    class_name = tables.machine_classes.get(part.machine_class, part.machine_class)
    machine_name = part.name or f"{class_name} {ordinal}"
    rotation: str | None = part.rotation
    if machine:
        _agree(findings, "machine.name", part.name, machine.name, designation)
        _agree(findings, "machine.rotation", part.rotation, machine.rotation, designation)
        machine_name, rotation = machine.name, machine.rotation
    container, design, digits = _container(connection, manifest.container, plant, customer, tables, findings)
    return Registered(
        plant=plant,
        line=line,
        machine=machine,
        container=container,
        plant_name=plant_name,
        customer=customer,
        line_name=line_name,
        machine_name=machine_name,
        machine_ordinal=ordinal,
        machine_since=part.installed_on or _since(connection, line, part.machine_class),
        rotation=rotation,
        design=design,
        nominal_digits=digits,
        container_facts=manifest.container,
        findings=tuple(findings),
    )


def _ordinal(
    connection: Connection, part: MachinePart, machine: MachineRow | None, designation: str, following: int
) -> list[Finding]:
    """What the records say to a machine's ordinal: an ordinal names one machine for ever, wherever that one stands."""

    def say(rule: str, level: Level, message: str, todo: str) -> list[Finding]:
        value = designation if part.ordinal is None else str(part.ordinal)
        return [Finding(rule, level, message, "machine.ordinal", value, todo, "machine.ordinal")]

    another = f"A different machine takes ordinal {following}"
    if part.ordinal is None and not part.new:
        return [_missing("machine.ordinal", "only a machine with 'new' may leave it out, and takes the next one")]
    if machine is not None and part.new:
        return say("contradiction", "error", f"{designation} is on record and is no new machine", another)
    if machine is None and part.ordinal not in (None, following):
        return say(
            "machine_ordinal_skips",
            "warning",
            f"the next machine of class {part.machine_class} that comes to this line is number {following}",
            f"Give ordinal {following}, unless the machines before it are only not on record yet",
        )
    if machine is None:
        return []
    stays = placements.placements_of(connection, [machine.id])[machine.id]
    here = next((stay.place for stay in stays if stay.until_at is None), None)
    if here is not None and here.line.id == machine.born_line_id:
        return []
    where = f"stands on {here.line.name} of {here.plant.name} now" if here else "stands on no line now"
    return say(
        "machine_moved",
        "warning",
        f"{designation} {where}, and this kit would be for that machine",
        f"Go on if that machine is meant. {another}",
    )


def _since(connection: Connection, line: LineRow | None, machine_class: str) -> str | None:
    """Since when a new machine stands on its line, where nobody said so.

    The first of its class stands there since before anybody wrote it down; one that follows another came just now.
    """
    followed = line is not None and placements.class_was_there(connection, line.id, machine_class)
    return None if followed else BEGINNING


def _named(findings: list[Finding], field: str, given: str | None, names: tuple[NameRow, ...], what: str) -> None:
    """A name that is given has to be the one today; one that the place bore before is understood, and pointed out."""
    today = names[-1].name
    old = [row for row in names[:-1] if given is not None and folded(row.name) == folded(given)]
    if given is None or folded(given) == folded(today) or not old:
        _agree(findings, field, given, today, what)
        return
    findings.append(
        Finding(
            rule="old_name",
            level="warning",
            message=f"{what} was called so until {(old[-1].until_at or '')[:10]}; its name is {today}",
            field=field,
            value=given,
            todo=f"Write {today}, or leave '{field}' out",
            place=field,
        )
    )


def _plant(
    connection: Connection, manifest: KitManifest, plant: PlantRow | None, findings: list[Finding]
) -> tuple[str, str]:
    part = manifest.plant
    if plant:
        names = place_names.plant_names(connection, plant.id)
        _named(findings, "plant.name", part.name, names, f"plant {plant.code}")
        _agree(findings, "plant.customer", part.customer, plant.customer, f"plant {plant.code}")
        return plant.name, plant.customer
    for field, value in (("plant.name", part.name), ("plant.customer", part.customer)):
        if value is None:
            findings.append(_missing(field, f"plant {part.code} is not on record yet"))
    findings.extend(near_plant(connection, part.code))
    return part.name or "", part.customer or ""


def _container(
    connection: Connection,
    part: ContainerPart,
    plant: PlantRow | None,
    customer: str,
    tables: CodeTables,
    findings: list[Finding],
) -> tuple[ContainerRow | None, str, int]:
    """The container on record or None, its design letter and its nominal digits."""
    customer_id = plants.customer_id(connection, customer)
    design, digits = _split(part.code)
    if part.nominal is not None and part.unit is not None:
        counted = nominal_digits(part.nominal, part.unit)
        if digits and counted != digits:
            findings.append(
                Finding(
                    rule="container_code_digits",
                    level="error",
                    message=f"the code ends in {digits}, but {part.nominal} {part.unit} gives {counted}",
                    field="container.code",
                    value=part.code or "",
                    todo=f"Write {design}{counted}, or correct the nominal content",
                    place="container.code",
                )
            )
        digits = digits or counted
    known = containers.containers_of(connection, customer_id, digits) if customer_id and digits else ()
    row = _same(part, design, known)
    if row is not None:
        for name in CONTAINER_FACTS:
            _agree(findings, f"container.{name}", getattr(part, name), getattr(row, name), f"container {row.code}")
        if part.nominal is not None and Decimal(row.nominal) != part.nominal:
            _agree(findings, "container.nominal", part.nominal, Decimal(row.nominal), f"container {row.code}")
        return row, row.design, row.nominal_digits
    for field, value in (("name", part.name), ("nominal", part.nominal), ("unit", part.unit)):
        if value is None:
            findings.append(_missing(f"container.{field}", "this container is not on record yet"))
    taken = {other.design for other in known}
    if not design:
        design = free_letter(connection, plant, digits or 1, taken, tables)
    else:
        tables.require_design(design, field="container.code", value=part.code, place="container.code")
        findings.extend(near_container(connection, plant, f"{design}{digits or 1}", taken, tables))
    findings.extend(
        Finding(
            rule="container_name_twice",
            level="warning",
            message=f"container {other.code} bears the same name",
            field="container.name",
            value=part.name,
            todo=f"Give {other.code} if it is the same container, otherwise a name that tells the two apart",
            place="container.name",
        )
        for other in known
        if part.name and other.name.casefold() == part.name.casefold()
    )
    return None, design, digits or 1


def _split(code: str | None) -> tuple[str, int]:
    if code is None:
        return "", 0
    design = code.rstrip("0123456789")
    return design, int(code[len(design) :])


def _same(part: ContainerPart, design: str, known: tuple[ContainerRow, ...]) -> ContainerRow | None:
    """The container on record that is meant: by its letter, otherwise by its name and every fact that is given."""
    for row in known:
        if design:
            if row.design == design:
                return row
        elif part.name and row.name.casefold() == part.name.casefold() and _all_agree(part, row):
            return row
    return None


def _all_agree(part: ContainerPart, row: ContainerRow) -> bool:
    return all(
        getattr(part, name) is None or _equal(getattr(part, name), getattr(row, name)) for name in CONTAINER_FACTS
    ) and (part.nominal is None or Decimal(row.nominal) == part.nominal)


def _equal(given: object, on_record: object) -> bool:
    if isinstance(given, str) and isinstance(on_record, str):
        return given.casefold() == on_record.casefold()
    return given == on_record


def _agree(findings: list[Finding], field: str, given: object, on_record: object, what: str) -> None:
    """A fact that is given has to be the one on record; a fact that is left out is taken from there."""
    if given is None or _equal(given, on_record):
        return
    findings.append(
        Finding(
            rule="contradiction",
            level="error",
            message=f"{what} is on record with {on_record if on_record is not None else 'nothing'} here",
            field=field,
            value=str(given),
            todo=f"Leave '{field}' out or give it as it is on record; if the record is wrong, correct the record",
            place=field,
        )
    )


def _missing(field: str, why: str) -> Finding:
    return Finding(
        rule="missing_the_first_time",
        level="error",
        message=f"this field is missing: {why}",
        field=field,
        value="(not given)",
        todo=f"Add '{field}'",
        place=field,
    )
