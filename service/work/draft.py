"""The numbers that a manifest would get, and everything that stands against them on record. Reads, writes nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.manifest import KitManifest, SegmentBody
from service.errors import KitwrightError
from service.findings import Finding
from service.numbering.number import KitNumber, Number, Place
from service.numbering.tables import CodeTables
from service.store import containers, kits, segments
from service.store.interfaces import same_where
from service.store.values import ContainerRow, MachineRow, SegmentRow
from service.work.cutting import Cutter, DraftSegment, known_colour
from service.work.naming import read_place
from service.work.near_codes import near_assemblies
from service.work.registering import Registered, register_parts

_LONG_ORDINAL = 100


@dataclass(frozen=True, slots=True)
class DraftAssembly:
    """An assembly of the kit in the order of the manifest."""

    code: str
    ordinal: int
    name: str


@dataclass(frozen=True, slots=True)
class DraftJoint:
    """A declared joint between two places or shared numbers, by number."""

    first: str
    second: str
    form: str | None
    clearance_mm: float | None


@dataclass(frozen=True, slots=True)
class Draft:
    """A kit as it would be issued, with the findings of the records."""

    kit: KitNumber
    registered: Registered
    stock_colour: str
    assemblies: tuple[DraftAssembly, ...]
    segments: tuple[DraftSegment, ...]
    shared: tuple[SegmentRow, ...]
    joints: tuple[DraftJoint, ...]
    serves: tuple[ContainerRow, ...]
    findings: tuple[Finding, ...]


def draft_kit(connection: Connection, manifest: KitManifest, tables: CodeTables) -> Draft:
    """Form every number and look at the records.

    Raises:
        UnknownCode: a code that stands in no table, so that no number can be formed.
    """
    registered = register_parts(connection, manifest, tables)
    findings = list(registered.findings)
    machine = manifest.machine
    tables.name_of("machine_class", machine.machine_class, place="machine.class")
    kit = KitNumber(
        manifest.plant.code,
        manifest.line.ordinal,
        machine.machine_class,
        registered.machine_ordinal,
        registered.design,
        registered.nominal_digits,
    )
    if kits.find_kit(connection, str(kit)) is not None:
        findings.append(
            Finding(
                rule="kit_exists",
                level="error",
                message="this kit is already issued",
                field="kit",
                value=str(kit),
                todo="Correct the issued kit, or give the container its own design letter",
            )
        )
    parts = [segment for assembly in manifest.assemblies for segment in assembly.segments]
    cutter = Cutter(connection, parts, kit_colour=manifest.stock_colour, findings=findings)
    assemblies: list[DraftAssembly] = []
    drafted: list[DraftSegment] = []
    shared: list[SegmentRow] = []
    by_place: dict[str, str] = {}
    for index, part in enumerate(manifest.assemblies):
        where = f"assemblies[{index}]"
        word = tables.name_of("assembly", part.code, place=f"{where}.code")
        assemblies.append(DraftAssembly(part.code, part.ordinal, part.name or f"{word} {part.ordinal}"))
        for position, segment in enumerate(part.segments):
            here = f"{where}.segments[{position}]"
            tables.name_of("deck", segment.deck, place=f"{here}.deck")
            place = Place(part.code, part.ordinal, segment.deck, segment.ordinal)
            spot = str(place)
            if spot in by_place:
                findings.append(_twice(spot, here))
                continue
            if segment.shares is not None:
                row = _shared(connection, segment, place, registered.machine, tables, here, findings)
                if row is not None:
                    shared.append(row)
                    by_place[spot] = row.number
                continue
            number = Number(kit, place)
            made = cutter.segment(number, index, segment, here)
            if made is not None:
                drafted.append(made)
            by_place[spot] = made.printed if made is not None else str(number)
    findings.extend(_same_assembly_twice(assemblies))
    given = (assembly.code for assembly in assemblies)
    findings.extend(near_assemblies(connection, registered.plant, given, tables))
    findings.extend(_read_both_ways(drafted))
    return Draft(
        kit=kit,
        registered=registered,
        stock_colour=known_colour(manifest.stock_colour, "stock_colour", findings),
        assemblies=tuple(assemblies),
        segments=tuple(drafted),
        shared=tuple(shared),
        joints=tuple(_joints(manifest, by_place, tables, findings)),
        serves=tuple(_serves(connection, manifest, registered, findings)),
        findings=tuple(findings),
    )


def _twice(place: str, here: str) -> Finding:
    return Finding(
        rule="duplicate_place",
        level="error",
        message="two segments stand on this place",
        field="place",
        value=place,
        todo="Give each segment its own deck and ordinal",
        place=here,
    )


def _same_assembly_twice(assemblies: Iterable[DraftAssembly]) -> list[Finding]:
    seen: set[tuple[str, int]] = set()
    findings = []
    for index, assembly in enumerate(assemblies):
        name = (assembly.code, assembly.ordinal)
        if name in seen:
            findings.append(
                Finding(
                    rule="duplicate_place",
                    level="error",
                    message="this assembly stands twice in the manifest",
                    field="assembly",
                    value=f"{assembly.code}{assembly.ordinal}",
                    todo="Put its segments together, or give one of the two the next ordinal",
                    place=f"assemblies[{index}]",
                )
            )
        seen.add(name)
    return findings


def _read_both_ways(drafted: Iterable[DraftSegment]) -> list[Finding]:
    """A number that, without hyphens, is also another number without its check."""
    rows = list(drafted)
    # The digits of the shorter one's ordinal and check are the ordinal of the longer one, so that has three or more.
    longer = {
        row.printed.rpartition("-")[0].replace("-", ""): row
        for row in rows
        if row.number.place.ordinal >= _LONG_ORDINAL
    }
    if not longer:
        return []
    return [
        Finding(
            rule="reads_both_ways",
            level="warning",
            message=f"without hyphens this number reads like {longer[compact].printed} without its check",
            field="number",
            value=row.printed,
            todo="Print both with their hyphens; a reader will show both",
        )
        for row in rows
        if (compact := row.printed.replace("-", "")) in longer
    ]


def _shared(
    connection: Connection,
    segment: SegmentBody,
    place: Place,
    machine: MachineRow | None,
    tables: CodeTables,
    here: str,
    findings: list[Finding],
) -> SegmentRow | None:
    """The segment of another kit that serves here too."""

    def say(rule: str, message: str, todo: str) -> None:
        findings.append(
            Finding(
                rule=rule,
                level="error",
                message=message,
                field="shares",
                value=segment.shares or "",
                todo=todo,
                place=f"{here}.shares",
            )
        )

    try:
        number = Number.parse(segment.shares or "", tables)
    except KitwrightError as error:
        say(error.code, error.what, error.todo)
        return None
    row = segments.find_segment(connection, str(number))
    if row is None:
        say("number_unknown", "this number was never issued", "Correct the number, or give a cut file")
    elif row.voided:
        say("place_voided", f"this number is spent: {row.void_reason}", "Give the number that took its place")
    elif not _serves_here(connection, row, place, machine):
        say(
            "shared_across_machines",
            f"this segment belongs to {number.kit.machine_name}, another machine, and nobody has recorded that the two "
            f"are the same where {place.assembly}{place.assembly_ordinal} meets them",
            "Compare both machines and record what is the same, or give the segment its own number on this machine",
        )
    elif segment.cut_file is not None or segment.material is not None:
        say(
            "shared_and_cut",
            "a shared segment is described where it was numbered",
            "Give only deck, ordinal and 'shares', or leave 'shares' out",
        )
    else:
        return row
    return None


def _serves_here(connection: Connection, row: SegmentRow, place: Place, machine: MachineRow | None) -> bool:
    """Whether a segment may serve on a machine: its own, or one that is the same where both assemblies meet it."""
    home = kits.find_kit(connection, row.kit_number)
    assert home is not None
    if machine is None:
        return False
    meets = (f"{row.assembly_code}{row.assembly_ordinal}", f"{place.assembly}{place.assembly_ordinal}")
    return home.machine.id == machine.id or same_where(connection, home.machine.id, machine.id, meets)


def _joints(
    manifest: KitManifest, by_place: Mapping[str, str], tables: CodeTables, findings: list[Finding]
) -> list[DraftJoint]:
    joints: list[DraftJoint] = []
    seen: set[frozenset[str]] = set()
    for index, joint in enumerate(manifest.joints):
        ends = [place if place in by_place else _end(place, tables) for place in joint.between]
        unknown = [end for end in ends if end not in by_place]
        if unknown or ends[0] == ends[1] or frozenset(ends) in seen:
            message = (
                f"no segment of this kit stands on {unknown[0]}"
                if unknown
                else "a joint is between two segments"
                if ends[0] == ends[1]
                else "this joint stands twice in the manifest"
            )
            findings.append(
                Finding(
                    rule="joint_unknown" if unknown else "joint_wrong",
                    level="error",
                    message=message,
                    field="between",
                    value=" and ".join(joint.between),
                    todo="Name two places of this kit, each joint once",
                    place=f"joints[{index}].between",
                )
            )
            continue
        seen.add(frozenset(ends))
        joints.append(DraftJoint(by_place[ends[0]], by_place[ends[1]], joint.form, joint.clearance_mm))
    return joints


def _end(place: str, tables: CodeTables) -> str:
    """An end of a joint as places are kept; as it was given where it is none, to be named as unknown."""
    try:
        return str(read_place(place, tables))
    except KitwrightError:
        return place


def _serves(
    connection: Connection, manifest: KitManifest, registered: Registered, findings: list[Finding]
) -> list[ContainerRow]:
    if not manifest.serves:
        return []
    customer_id = registered.plant.customer_id if registered.plant else None
    rows = []
    for index, code in enumerate(manifest.serves):
        design = code.rstrip("0123456789")
        digits = code[len(design) :]
        row = (
            containers.find_container(connection, customer_id, design, int(digits))
            if customer_id is not None and digits
            else None
        )
        if row is None:
            findings.append(
                Finding(
                    rule="container_unknown",
                    level="error",
                    message="this customer has no container of this code",
                    field="serves",
                    value=code,
                    todo="Issue a kit for that container first, or correct the code",
                    place=f"serves[{index}]",
                )
            )
        else:
            rows.append(row)
    return rows
