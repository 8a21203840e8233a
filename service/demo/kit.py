"""A kit as the shop drew it: assemblies, segments, the releases of their cut files, and the manifest that says so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.demo.drawing import Entities, Unit, dxf_bytes
from service.demo.part import Part

Hand = Literal["LEFT", "RIGHT"]


@dataclass(frozen=True, slots=True)
class DemoRevision:
    """One released revision of one cut file.

    Attributes:
        name: the file's name, unique in the shop.
        revision: ``-`` for the initial release, then A, B, C …
        data: the DXF.
        note: what the release is for.
        units: the unit, for a file that declares none; every file here declares its own.
        joints_changed: places of the neighbours whose joint with this segment the release changed.
        interfaces_changed: which other interfaces it changed.
    """

    name: str
    revision: str
    data: bytes
    note: str
    units: str | None = None
    joints_changed: tuple[str, ...] = ()
    interfaces_changed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Release:
    """A later revision of a segment's design."""

    revision: str
    part: Part
    note: str
    joints_changed: tuple[str, ...] = ()
    interfaces_changed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Segment:
    """A segment that the kit makes: its shape, what it is made of, and how its drawing is written."""

    deck: str
    ordinal: int
    part: Part
    thickness_mm: float
    material: str = "UHMW-PE"
    quantity: int = 1
    hand: Hand | None = None
    later: tuple[Release, ...] = ()
    as_built: str = "-"
    unit: Unit = "mm"
    entities: Entities = "polylines"


@dataclass(frozen=True, slots=True)
class SharedSegment:
    """A segment of another kit that serves in this one too."""

    deck: str
    ordinal: int
    number: str


@dataclass(frozen=True, slots=True)
class Assembly:
    """An assembly of a kit."""

    code: str
    ordinal: int
    name: str
    segments: tuple[Segment | SharedSegment, ...]


@dataclass(frozen=True, slots=True)
class DeclaredJoint:
    """A joint that the manifest states; others are left to be found where outlines touch."""

    between: tuple[str, str]
    form: str
    clearance_mm: float


@dataclass(frozen=True, slots=True)
class Kit:
    """A kit: the machine and the container that it is for, as the manifest names them, and its assemblies."""

    plant: dict[str, object]
    line: dict[str, object]
    machine: dict[str, object]
    container: dict[str, object]
    stock_colour: str
    assemblies: tuple[Assembly, ...]
    joints: tuple[DeclaredJoint, ...] = ()

    @property
    def number(self) -> str:
        """The kit's number, for example ``OSV4-FC1-A500``."""
        machine = f"{self.machine['class']}{self.machine['ordinal']}"
        return f"{self.plant['code']}{self.line['ordinal']}-{machine}-{self.container['code']}"

    def cut_file(self, assembly: Assembly, segment: Segment) -> str:
        """The name of a segment's cut file, for example ``osv4-fc1-a500-sw2-u3.dxf``."""
        place = f"{assembly.code}{assembly.ordinal}-{segment.deck}{segment.ordinal}"
        return f"{self.number}-{place}.dxf".lower()

    def revisions(self) -> Iterator[DemoRevision]:
        """Every revision of every cut file of the kit: all initial releases, then the later ones letter by letter."""
        made = [
            (self.cut_file(assembly, segment), segment)
            for assembly in self.assemblies
            for segment in assembly.segments
            if isinstance(segment, Segment)
        ]
        for name, segment in made:
            yield DemoRevision(name, "-", _drawn(segment, segment.part), "initial release")
        later = [(release, name, segment) for name, segment in made for release in segment.later]
        for release, name, segment in sorted(later, key=lambda entry: entry[0].revision):
            yield DemoRevision(
                name,
                release.revision,
                _drawn(segment, release.part),
                release.note,
                joints_changed=release.joints_changed,
                interfaces_changed=release.interfaces_changed,
            )

    def manifest(self) -> dict[str, object]:
        """The manifest, ready for JSON."""
        manifest: dict[str, object] = {
            "plant": dict(self.plant),
            "line": dict(self.line),
            "machine": dict(self.machine),
            "container": dict(self.container),
            "stock_colour": self.stock_colour,
            "assemblies": [
                {
                    "code": assembly.code,
                    "ordinal": assembly.ordinal,
                    "name": assembly.name,
                    "segments": [self._entry(assembly, segment) for segment in assembly.segments],
                }
                for assembly in self.assemblies
            ],
        }
        if self.joints:
            manifest["joints"] = [
                {"between": list(joint.between), "form": joint.form, "clearance_mm": joint.clearance_mm}
                for joint in self.joints
            ]
        return manifest

    def _entry(self, assembly: Assembly, segment: Segment | SharedSegment) -> dict[str, object]:
        if isinstance(segment, SharedSegment):
            return {"deck": segment.deck, "ordinal": segment.ordinal, "shares": segment.number}
        return {
            "deck": segment.deck,
            "ordinal": segment.ordinal,
            "cut_file": self.cut_file(assembly, segment),
            "revision": segment.as_built,
            "material": segment.material,
            "thickness_mm": segment.thickness_mm,
            "quantity": segment.quantity,
            "hand": segment.hand,
        }


def _drawn(segment: Segment, part: Part) -> bytes:
    return dxf_bytes(part, unit=segment.unit, entities=segment.entities)
