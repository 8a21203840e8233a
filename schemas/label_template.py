"""A label template: one tag format as data. Size, stock, holes, text fields, symbols, and the band of the stock colour.

A template is a TOML file with this model. Lengths are millimetres; x runs right and y down from the upper left corner
of the mark as it hangs. ``label_template.schema.json`` beside this module is the same model as JSON Schema for editors;
``python -m schemas.label_template`` prints it.
"""

from __future__ import annotations

import json
import re
import tomllib
from itertools import combinations
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError, model_validator

from schemas.toml_places import brief, line_of, path_text
from service.errors import BadTemplate

FieldName = Literal[
    "number", "key", "kit", "place",
    "container", "container_code", "assembly", "assembly_code", "deck", "segment", "segment_count", "hand", "rotation",
    "quantity", "material", "thickness", "mass", "revision", "colour",
    "customer", "plant", "line", "machine", "machine_code", "serves",
    "shop", "telephone", "address",
]  # fmt: skip
"""What a text field can show."""

SymbolContent = Literal["link", "message", "key", "number"]

Length = Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]
Distance = Annotated[float, Field(gt=0, le=20_000, allow_inf_nan=False)]
Offset = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]

#: What every mark shows: what it is, what runs, and whom to call (years later the shop's name is all that is left).
ALWAYS_SHOWN: tuple[FieldName, ...] = ("number", "key", "container", "shop", "telephone")

#: Two edges closer than this, in mm, are one: rounding in a hand-written file is no fault.
EDGE_TOLERANCE_MM = 1e-6


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Box(_Part):
    """A rectangle on the mark.

    Attributes:
        x_mm: distance of its left edge from the left edge of the mark.
        y_mm: distance of its upper edge from the upper edge of the mark.
        width_mm: its width.
        height_mm: its height.
    """

    x_mm: Offset
    y_mm: Offset
    width_mm: Length
    height_mm: Length

    def overlaps(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.x_mm < other.x_mm + other.width_mm - EDGE_TOLERANCE_MM
            and other.x_mm < self.x_mm + self.width_mm - EDGE_TOLERANCE_MM
            and self.y_mm < other.y_mm + other.height_mm - EDGE_TOLERANCE_MM
            and other.y_mm < self.y_mm + self.height_mm - EDGE_TOLERANCE_MM
        )


class Hole(_Part):
    """A fixing or tie hole, and the ring round it that a screw head or tie covers.

    Attributes:
        x_mm: its centre from the left edge.
        y_mm: its centre from the upper edge.
        diameter_mm: of the hole itself.
        clearance_mm: width of the ring round the hole that text and symbols keep clear of.
    """

    x_mm: Offset
    y_mm: Offset
    diameter_mm: Length
    clearance_mm: Offset


class _Lettered(Box):
    """A box that holds lettering.

    Attributes:
        max_cap_mm: largest capital height.
        min_cap_mm: the floor: a text that does not fit at this height is refused.
        weight: of the letters.
        align: where a line narrower than the box stands.
        valign: where lines lower than the box stand.
        reading_distance_mm: from where it must be legible; the template's own distance unless said.
    """

    max_cap_mm: Length
    min_cap_mm: Length
    weight: Literal["regular", "bold"] = "regular"
    align: Literal["left", "centre", "right"] = "left"
    valign: Literal["top", "middle", "bottom"] = "middle"
    reading_distance_mm: Distance | None = None

    @model_validator(mode="after")
    def _floor_below_ceiling(self) -> Self:
        if self.min_cap_mm > self.max_cap_mm:
            raise ValueError(f"min_cap_mm {self.min_cap_mm:g} is above max_cap_mm {self.max_cap_mm:g}")
        return self


class TextField(_Lettered):
    """A text of the mark.

    Attributes:
        show: names of what it shows, in order; what is empty for a segment is left out with its separator.
        separator: stands between two of them.
        before: words in front, for example ``line``; left out when there is nothing to show.
        lines: at most so many lines, broken at blanks.
        reversed: white letters on a black block that hugs the text.
    """

    show: Annotated[tuple[FieldName, ...], Field(min_length=1, max_length=6)]
    separator: Annotated[str, StringConstraints(max_length=5)] = " · "
    before: Annotated[str, StringConstraints(max_length=40)] = ""
    lines: Annotated[int, Field(ge=1, le=4)] = 1
    reversed: bool = False

    @property
    def name(self) -> str:
        """What errors and findings call the field."""
        return "+".join(self.show)


class Symbol(Box):
    """A symbol and the room for it, quiet zone included.

    Attributes:
        kind: ``qr``, ``data_matrix`` or ``code128``.
        content: ``link`` (upper-case address ending in the key), ``message`` (ISO/IEC 15434), ``key`` or ``number``.
        min_module_mm: the smallest module that the readers at hand can read; less is refused.
        max_module_mm: modules are made no larger than this, also where there is room.
        align: where a symbol narrower than its room stands.
        valign: where a symbol lower than its room stands.
    """

    kind: Literal["qr", "data_matrix", "code128"]
    content: SymbolContent
    min_module_mm: Length
    max_module_mm: Length | None = None
    align: Literal["left", "centre", "right"] = "centre"
    valign: Literal["top", "middle", "bottom"] = "middle"

    @model_validator(mode="after")
    def _sense(self) -> Self:
        if self.kind == "code128" and self.content not in ("key", "number"):
            raise ValueError("a Code 128 holds the key or the number; a link or message would be too wide to scan")
        if self.kind == "qr" and self.content == "message":
            raise ValueError("the message stands in a Data Matrix; a phone makes nothing of it in a QR Code")
        if self.max_module_mm is not None and self.max_module_mm < self.min_module_mm:
            raise ValueError(f"max_module_mm {self.max_module_mm:g} is below min_module_mm {self.min_module_mm:g}")
        return self


class ColourWord(_Lettered):
    """Where the word of the stock colour stands on its band."""


class ColourBand(Box):
    """A field in the stock colour. Colour never stands alone: the band carries its shape and its word as well.

    Attributes:
        shapes: where the colour's shape stands, once or several times.
        word: where its word stands.
    """

    shapes: Annotated[tuple[Box, ...], Field(min_length=1, max_length=12)]
    word: ColourWord


class LabelTemplate(_Part):
    """One tag format.

    Attributes:
        name: how it is asked for, lower case with hyphens.
        title: what people call it.
        stock: what it is printed on and how it is fixed.
        width_mm: width as it hangs.
        height_mm: height as it hangs.
        corner_radius_mm: of the plate's corners; nothing is printed in the cut-off.
        margin_mm: strip along the edge that text and symbols keep clear of. Colour bands may run to the edge.
        reading_distance_mm: from where the mark must be legible.
        holes: fixing or tie holes.
        colour_band: the field in the stock colour.
        rules: black lines and blocks.
        fields: texts.
        symbols: at least one.
    """

    name: Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
    title: Words
    stock: Words
    width_mm: Length
    height_mm: Length
    corner_radius_mm: Offset = 0.0
    margin_mm: Offset
    reading_distance_mm: Distance
    holes: Annotated[tuple[Hole, ...], Field(max_length=8)] = ()
    colour_band: ColourBand
    rules: Annotated[tuple[Box, ...], Field(max_length=24)] = ()
    fields: Annotated[tuple[TextField, ...], Field(min_length=1, max_length=40)]
    symbols: Annotated[tuple[Symbol, ...], Field(min_length=1, max_length=8)]

    def _lettered_and_inked(self) -> list[tuple[str, Box]]:
        """Every box that text, symbols or rules fill, by its path."""
        return [
            ("colour_band.word", self.colour_band.word),
            *((f"rules[{index}]", box) for index, box in enumerate(self.rules)),
            *((f"fields[{index}] ({field.name})", field) for index, field in enumerate(self.fields)),
            *((f"symbols[{index}]", symbol) for index, symbol in enumerate(self.symbols)),
        ]

    @model_validator(mode="after")
    def _inside(self) -> Self:
        size = f"the mark of {self.width_mm:g} × {self.height_mm:g} mm"
        shapes = [(f"colour_band.shapes[{index}]", box) for index, box in enumerate(self.colour_band.shapes)]
        for name, box in [("colour_band", self.colour_band), *shapes, *self._lettered_and_inked()]:
            right, bottom = box.x_mm + box.width_mm, box.y_mm + box.height_mm
            if right > self.width_mm + EDGE_TOLERANCE_MM or bottom > self.height_mm + EDGE_TOLERANCE_MM:
                raise ValueError(f"{name} reaches beyond {size}")
        for index, hole in enumerate(self.holes):
            if hole.x_mm > self.width_mm or hole.y_mm > self.height_mm:
                raise ValueError(f"holes[{index}] lies beyond {size}")
        return self

    @model_validator(mode="after")
    def _apart(self) -> Self:
        for (first_name, first), (second_name, second) in combinations(self._lettered_and_inked(), 2):
            if first.overlaps(second):
                raise ValueError(f"{first_name} and {second_name} overlap; some text would one day lie on the other")
        return self

    @model_validator(mode="after")
    def _complete(self) -> Self:
        shown = {name for field in self.fields for name in field.show}
        for wanted in ALWAYS_SHOWN:
            if wanted not in shown:
                raise ValueError(f"no field shows the {wanted}; every mark shows {', '.join(ALWAYS_SHOWN)}")
        return self


def parse_template(text: str, *, source: str) -> LabelTemplate:
    """The template in a TOML text.

    Args:
        text: the TOML text.
        source: what to call it in an error, usually the file name.

    Raises:
        BadTemplate: it is no TOML, or a field is missing, unknown or wrong; ``field`` is the path of the first one,
            ``place`` the source and, where it can be found, the line.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        line = re.search(r"at line (\d+)", str(error))
        raise BadTemplate(
            f"it is no TOML: {error}",
            field="template",
            value=source,
            todo="Correct the file at the place named",
            place=f"{source}, line {line[1]}" if line else source,
        ) from error
    try:
        return LabelTemplate.model_validate(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        path = tuple(part for part in first["loc"])
        message = first["msg"].removeprefix("Value error, ")
        line_number = line_of(text, path)
        value = "(not given)" if first["type"] == "missing" else brief(first["input"])
        others = error.error_count() - 1
        raise BadTemplate(
            message[:1].lower() + message[1:] + (f" (and {others} more)" if others else ""),
            field=path_text(path) or "template",
            value=value if path else source,
            todo="Correct the template",
            place=source if line_number is None else f"{source}, line {line_number}",
        ) from error


def label_template_schema() -> dict[str, Any]:
    """The model as JSON Schema."""
    schema = LabelTemplate.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def schema_text() -> str:
    """The JSON Schema as it lies in ``label_template.schema.json``."""
    return json.dumps(label_template_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")  # noqa: T201  printing is what this command is for
