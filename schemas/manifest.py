"""The kit manifest: what a shop says about one kit, for one machine and one container."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

from schemas.moments import Moment

Hand = Literal["LEFT", "RIGHT"]
Rotation = Literal["clockwise", "anticlockwise"]


def _upper(value: object) -> object:
    return value.strip().upper() if isinstance(value, str) else value


def _hand(value: object) -> object:
    return (_upper(value) or None) if isinstance(value, str) else value


def _rotation(value: object) -> object:
    if not isinstance(value, str):
        return value
    text = value.strip().lower()
    return "anticlockwise" if text in ("counterclockwise", "counter-clockwise") else text or None


def _word(value: object) -> object:
    return " ".join(value.split()) if isinstance(value, str) else value


Turning = Annotated[Rotation | None, BeforeValidator(_rotation)]
Name = Annotated[str, BeforeValidator(_word), StringConstraints(min_length=1, max_length=120)]
ShortName = Annotated[str, BeforeValidator(_word), StringConstraints(min_length=1, max_length=40)]
PlantCode = Annotated[str, BeforeValidator(_upper), StringConstraints(pattern=r"^[A-Z]{3,4}$")]
Code = Annotated[str, BeforeValidator(_upper), StringConstraints(pattern=r"^[A-Z]{1,4}$")]
AssemblyCode = Annotated[str, BeforeValidator(_upper), StringConstraints(pattern=r"^[A-Z]{1,4}[1-9][0-9]{0,2}$")]
ContainerCode = Annotated[str, BeforeValidator(_upper), StringConstraints(pattern=r"^[A-Z]{1,2}[1-9][0-9]{0,5}$")]
PlaceText = Annotated[
    str,
    BeforeValidator(_upper),
    StringConstraints(pattern=r"^[A-Z]{1,4}[1-9][0-9]{0,2}-?[A-Z]{1,2}[1-9][0-9]{0,3}$", max_length=24),
]
NumberText = Annotated[str, BeforeValidator(_upper), StringConstraints(min_length=8, max_length=64)]
Millimetres = Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)]


class Part(BaseModel):
    """The base of every model here: an unknown field is a typing error and is named, never dropped."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class PlantPart(Part):
    """The plant. Name and customer are needed the first time only."""

    code: PlantCode = Field(description="Plant code, 3 letters (4 once a shop has used up those), frozen for ever.")
    name: Name | None = None
    customer: Name | None = None


class LinePart(Part):
    """The line on which the machine was born."""

    ordinal: int = Field(ge=1, le=99)
    name: Name | None = Field(default=None, description="What people call the line; 'line 4' unless said.")


class MachinePart(Part):
    """The machine, by class and by how many of that class were ever installed on the line."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    machine_class: Code = Field(alias="class", description="Machine class, for example FC filler-capper.")
    ordinal: Annotated[int, Field(ge=1, le=99)] | None = Field(
        default=None, description="The machine's ordinal; left out only with 'new', which takes the next one."
    )
    new: bool = Field(default=False, description="This machine is not on record yet; an ordinal that is stops the kit.")
    installed_on: Moment | None = Field(default=None, description="Since when a new machine stands on the line.")
    name: Name | None = None
    rotation: Turning = Field(default=None, description="Direction of rotation seen from above.")


class ContainerPart(Part):
    """The container. Without a code the service finds the design letter; a registered code alone is enough."""

    code: ContainerCode | None = Field(default=None, description="Design letter and nominal content, for example A500.")
    name: Name | None = Field(default=None, description="The container in words, for example 'tall round 500 mL'.")
    nominal: Annotated[Decimal, Field(gt=0, le=1_000_000, max_digits=12, allow_inf_nan=False)] | None = None
    unit: ShortName | None = Field(default=None, description="Unit of the nominal content: mL, L, fl oz, g …")
    shape: ShortName | None = None
    diameter_mm: Millimetres | None = None
    width_mm: Millimetres | None = None
    depth_mm: Millimetres | None = None
    min_body_mm: Millimetres | None = Field(default=None, description="Smallest measured body.")
    max_body_mm: Millimetres | None = Field(default=None, description="Largest measured body.")
    height_mm: Millimetres | None = None
    neck_finish: ShortName | None = None
    drawing_issue: Annotated[str, BeforeValidator(_word), StringConstraints(max_length=60)] | None = None


class SegmentBody(Part):
    """What a segment is cut from and made of; or only the number of the one it shares."""

    deck: Code = Field(description="L lower, M middle, U upper, K neck, X none.")
    shares: NumberText | None = Field(
        default=None, description="The number of a segment of another kit that serves here too; nothing else is given."
    )
    cut_file: Annotated[str, StringConstraints(min_length=1, max_length=255)] | None = None
    revision: Annotated[str, StringConstraints(min_length=1, max_length=3)] | None = Field(
        default=None, description="The as-built revision; the newest that is not withdrawn unless said."
    )
    material: ShortName | None = None
    thickness_mm: Millimetres | None = None
    measured_thickness_mm: Millimetres | None = None
    quantity: int = Field(default=1, ge=1, le=10_000)
    hand: Annotated[Hand | None, BeforeValidator(_hand)] = Field(
        default=None, description="LEFT or RIGHT looking downstream."
    )
    stock_colour: ShortName | None = Field(default=None, description="Where it differs from the kit's.")
    marked_face: ShortName | None = None
    deviations: Annotated[str, StringConstraints(max_length=2000)] | None = Field(
        default=None, description="Rework on site that the cut file does not show."
    )


class SegmentPart(SegmentBody):
    """A segment at its place in the assembly."""

    ordinal: int = Field(
        ge=1, le=999, description="Stars in direction of rotation from the keyway, guides from infeed."
    )


class AssemblyPart(Part):
    """An assembly, for example star wheel 2."""

    code: Code
    ordinal: int = Field(ge=1, le=99)
    name: Name | None = None
    segments: Annotated[tuple[SegmentPart, ...], Field(min_length=1, max_length=1000)]


class JointPart(Part):
    """The interlocking edge between two segments of the kit."""

    between: tuple[PlaceText, PlaceText]
    form: ShortName | None = None
    clearance_mm: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] | None = None


class KitManifest(Part):
    """One kit: a machine, a container, and every segment."""

    model_config = ConfigDict(
        extra="forbid",
        frozen=True,
        json_schema_extra={
            "examples": [
                {
                    "plant": {"code": "OSV", "name": "Ostrey Vale", "customer": "Tarnquill Waters"},
                    "line": {"ordinal": 4},
                    "machine": {"class": "FC", "ordinal": 1, "rotation": "clockwise"},
                    "container": {
                        "code": "A500",
                        "name": "tall round 500 mL",
                        "nominal": 500,
                        "unit": "mL",
                        "shape": "round",
                        "diameter_mm": 65.3,
                        "height_mm": 212.0,
                    },
                    "stock_colour": "green",
                    "assemblies": [
                        {
                            "code": "SW",
                            "ordinal": 2,
                            "name": "discharge star wheel",
                            "segments": [
                                {
                                    "deck": "U",
                                    "ordinal": 3,
                                    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
                                    "revision": "B",
                                    "material": "UHMW-PE",
                                    "thickness_mm": 25.0,
                                    "quantity": 1,
                                    "hand": None,
                                }
                            ],
                        }
                    ],
                }
            ]
        },
    )

    plant: PlantPart
    line: LinePart
    machine: MachinePart
    container: ContainerPart
    stock_colour: ShortName
    serves: Annotated[tuple[ContainerCode, ...], Field(max_length=50)] = Field(
        default=(), description="Codes of further containers, already registered, that this kit runs too."
    )
    assemblies: Annotated[tuple[AssemblyPart, ...], Field(min_length=1, max_length=200)]
    joints: Annotated[tuple[JointPart, ...], Field(max_length=2000)] = ()
    token: str | None = Field(default=None, description="From an earlier prepare; must still match if sent.")
