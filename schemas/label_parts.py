"""The parts of a label template: boxes, holes, texts, symbols, pictures, the band of the stock colour."""

from __future__ import annotations

import inspect
import re
from typing import Annotated, Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from schemas.label_conditions import Condition
from schemas.toml_places import Path

FieldName = Literal[
    "number", "key", "kit", "place",
    "container", "container_code", "assembly", "assembly_code", "deck", "segment", "segment_count", "hand", "rotation",
    "quantity", "material", "thickness", "mass", "revision", "colour",
    "customer", "plant", "line", "machine", "machine_code", "serves",
    "contents", "kit_pieces", "kit_mass",
    "shop", "telephone", "address",
]  # fmt: skip
"""What a text field can show."""

SymbolContent = Literal["link", "message", "key", "number", "contents"]
PictureKind = Literal["plan", "silhouette"]

Length = Annotated[float, Field(strict=True, gt=0, le=1000, allow_inf_nan=False)]
Distance = Annotated[float, Field(strict=True, gt=0, le=20_000, allow_inf_nan=False)]
Offset = Annotated[float, Field(strict=True, ge=0, le=1000, allow_inf_nan=False)]
Share = Annotated[float, Field(strict=True, ge=0, le=1, allow_inf_nan=False)]
Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200)]

#: A simple tag of BCP 47 (RFC 5646): language, perhaps script, perhaps country: ``de``, ``pl``, ``sr-Latn-RS``.
Language = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}(-[A-Z][a-z]{3})?(-[A-Z]{2})?$")]

#: Two edges closer than this, in mm, are one: rounding in a hand-written file is no fault.
EDGE_TOLERANCE_MM = 1e-6


def fault(rule: str, path: Path, what: str) -> PydanticCustomError:
    """A fault that no single type shows: its rule, the path within the part that is checked, and what is wrong."""
    return PydanticCustomError("template_fault", "{what}", {"rule": rule, "path": path, "what": what})


_ATTRIBUTE = re.compile(r"^    (\w+): (.+(?:\n {5,}.+)*)", re.MULTILINE)


def _described(schema: dict[str, Any], model: type[BaseModel]) -> None:
    """Say in the JSON Schema what each field means, as the docstrings of the model and its bases say it."""
    schema["description"] = " ".join((inspect.getdoc(model) or "").partition("\n\nAttributes:")[0].split())
    for kind in model.__mro__:
        for name, words in _ATTRIBUTE.findall(inspect.cleandoc(kind.__doc__ or "").partition("Attributes:")[2]):
            if name in schema["properties"]:
                schema["properties"][name].setdefault("description", " ".join(words.replace("``", "`").split()))


class Part(BaseModel):
    """Any part of a template: no field but those named, and nothing changes later."""

    model_config = ConfigDict(extra="forbid", frozen=True, json_schema_extra=_described)


class Box(Part):
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


class Hole(Part):
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


class Lettered(Box):
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
            raise fault(
                "floor_above_ceiling",
                ("min_cap_mm",),
                f"min_cap_mm {self.min_cap_mm:g} is above max_cap_mm {self.max_cap_mm:g}",
            )
        return self


class TextField(Lettered):
    """A text of the mark: what the facts say, fixed words, or both.

    Attributes:
        show: names of what it shows, in order; what is empty for a segment is left out with its separator. It may be
            empty where there are ``words``.
        separator: stands between two of them, and between the words of two languages.
        before: words in front, for example ``line``; left out when there is nothing to show.
        words: fixed words by language, for example ``{ en = "two people lift", de = "zu zweit heben" }``. With
            ``show`` they stand in front of what it shows and are left out when that is empty, as ``before`` is.
        language: the one language of this text: its fixed words come in it, and so do the trade's own words in what it
            shows (the deck, segment 3 of 4, LEFT and RIGHT, pieces). Unless said, what it shows comes in the first
            language of the template, and its ``words`` in each of the template's languages, one after the other.
        when: the text is printed only on marks on which all of these conditions hold; see ``label_conditions``.
        lines: at most so many lines, broken at blanks.
        reversed: white letters on a black block that hugs the text.
    """

    show: Annotated[tuple[FieldName, ...], Field(max_length=6)] = ()
    separator: Annotated[str, StringConstraints(max_length=5)] = " · "
    before: Annotated[str, StringConstraints(max_length=40)] = ""
    words: Annotated[dict[Language, Words], Field(max_length=12)] = {}
    language: Language | None = None
    when: Annotated[tuple[Condition, ...], Field(max_length=4)] = ()
    lines: Annotated[int, Field(strict=True, ge=1, le=4)] = 1
    reversed: StrictBool = False

    @model_validator(mode="after")
    def _sense(self) -> Self:
        if not (self.show or self.words):
            raise fault("nothing_to_print", ("show",), "it shows nothing and has no words")
        if self.words and self.before.strip():
            raise fault("before_and_words", ("before",), "words in front stand in before or in words, not in both")
        if self.words and self.language is not None and self.language not in self.words:
            raise fault("words_missing", ("words",), f"it is for labels in '{self.language}' and has no words in it")
        return self

    def __hash__(self) -> int:
        """Layouts are remembered by their template; a table of words has no hash of its own."""
        plain = (getattr(self, name) for name in type(self).model_fields if name != "words")
        return hash((*plain, *sorted(self.words.items())))

    @property
    def name(self) -> str:
        """What errors and findings call the field: what it shows, or its first words."""
        return "+".join(self.show) or next(iter(self.words.values()))


class Symbol(Box):
    """A symbol and the room for it, quiet zone and frame included.

    Attributes:
        kind: ``qr``, ``data_matrix`` or ``code128``.
        content: ``link`` (upper-case address ending in the key), ``message`` (ISO/IEC 15434), ``key``, ``number`` or
            ``contents`` (ISO/IEC 15434, the number of the kit and how many pieces a set of it has).
        min_module_mm: the smallest module that the readers at hand can read; less is refused.
        max_module_mm: modules are made no larger than this, also where there is room.
        align: where a symbol narrower than its room stands.
        valign: where a symbol lower than its room stands.
        frame: ``identification_link`` draws the frame with which IEC 61406-1 tells a link that identifies the object
            from any other; it lies in the room, outside the quiet zone.
        least_survival: the share of the fixed set of damages that this symbol must survive, 0 for no floor.
    """

    kind: Literal["qr", "data_matrix", "code128"]
    content: SymbolContent
    min_module_mm: Length
    max_module_mm: Length | None = None
    align: Literal["left", "centre", "right"] = "centre"
    valign: Literal["top", "middle", "bottom"] = "middle"
    frame: Literal["none", "identification_link"] = "none"
    least_survival: Share = 0.0

    @model_validator(mode="after")
    def _sense(self) -> Self:
        if self.kind == "code128" and self.content not in ("key", "number"):
            raise fault(
                "content_unfit",
                ("content",),
                "a Code 128 holds the key or the number; a link or message would be too wide to scan",
            )
        if self.kind == "qr" and self.content in ("message", "contents"):
            raise fault(
                "content_unfit",
                ("content",),
                "the message stands in a Data Matrix; a phone makes nothing of it in a QR Code",
            )
        if self.max_module_mm is not None and self.max_module_mm < self.min_module_mm:
            raise fault(
                "floor_above_ceiling",
                ("max_module_mm",),
                f"max_module_mm {self.max_module_mm:g} is below min_module_mm {self.min_module_mm:g}",
            )
        if self.frame == "identification_link" and (self.kind == "code128" or self.content != "link"):
            raise fault(
                "frame_unfit",
                ("frame",),
                "the frame of an identification link stands round a link in a QR Code or Data Matrix",
            )
        return self


class Picture(Box):
    """A picture, as large as its box allows in its own proportions.

    Attributes:
        kind: ``plan``: the kit seen from above in its stock colours, this segment marked; ``silhouette``: the outline
            of the container.
        align: where a picture narrower than its box stands.
        valign: where a picture lower than its box stands.
    """

    kind: PictureKind
    align: Literal["left", "centre", "right"] = "centre"
    valign: Literal["top", "middle", "bottom"] = "middle"


class ColourWord(Lettered):
    """Where the word of the stock colour stands on its band."""


class ColourBand(Box):
    """A field in the stock colour. Colour never stands alone: the band carries its shape and its word as well.

    Attributes:
        shapes: where the colour's shape stands, once or several times.
        word: where its word stands.
    """

    shapes: Annotated[tuple[Box, ...], Field(min_length=1, max_length=12)]
    word: ColourWord
