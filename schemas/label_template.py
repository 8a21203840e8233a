"""A label template: one tag format as data. Size, stock, holes, texts, symbols, and the band of the stock colour.

A template is a TOML file with this model. Lengths are millimetres; x runs right and y down from the upper left corner
of the mark as it hangs. ``label_template.schema.json`` beside this module is the same model as JSON Schema for editors;
``python -m schemas.label_template`` prints it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from itertools import combinations
from typing import Annotated, Any, Literal, NamedTuple, Self

from pydantic import Field, StringConstraints, model_validator

from schemas.label_conditions import Condition as Condition
from schemas.label_conditions import exclude, one_always_holds
from schemas.label_parts import (
    EDGE_TOLERANCE_MM,
    Distance,
    Hole,
    Language,
    Length,
    Offset,
    Part,
    Share,
    Words,
    fault,
)
from schemas.label_parts import Box as Box
from schemas.label_parts import ColourBand as ColourBand
from schemas.label_parts import ColourWord as ColourWord
from schemas.label_parts import FieldName as FieldName
from schemas.label_parts import Picture as Picture
from schemas.label_parts import PictureKind as PictureKind
from schemas.label_parts import Symbol as Symbol
from schemas.label_parts import SymbolContent as SymbolContent
from schemas.label_parts import TextField as TextField
from schemas.toml_places import Path, path_text

#: What every mark shows: what it is, what runs, and whom to call (years later the shop's name is all that is left).
ALWAYS_SHOWN: tuple[FieldName, ...] = ("number", "key", "container", "shop", "telephone")

#: Names that stand behind ``/api/templates/`` and so name no template.
RESERVED_NAMES = frozenset({"schema", "lint"})

Resolution = Literal[203, 300, 600]


class Fault(NamedTuple):
    """What is wrong between the parts of a template.

    Attributes:
        rule: its stable name.
        path: to the part at fault, the later of two.
        what: a clause without a full stop.
    """

    rule: str
    path: Path
    what: str


class TemplateParts(Part):
    """The parts of a template, each right in itself, not yet looked at together.

    Attributes:
        name: how it is asked for, lower case with hyphens.
        title: what people call it.
        stock: what it is printed on and how it is fixed.
        finish: of its surface: a gloss mirrors the scanner's lamp.
        languages: of its words, the first one first.
        resolutions: of the printers that it is made for, in dpi.
        width_mm: width as it hangs.
        height_mm: height as it hangs.
        corner_radius_mm: of the plate's corners; nothing is printed in the cut-off.
        margin_mm: strip along the edge that text and symbols keep clear of. Colour bands may run to the edge.
        reading_distance_mm: from where the mark must be legible.
        least_survival: the share of the fixed set of damages after which the mark must still give its identity, by one
            of its symbols or by several together, 0 for no floor.
        holes: fixing or tie holes.
        colour_band: the field in the stock colour.
        rules: black lines and blocks.
        fields: texts.
        symbols: at least one.
        pictures: the plan of the kit, the silhouette of the container.
    """

    name: Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
    title: Words
    stock: Words
    finish: Literal["matt", "satin", "gloss"] = "matt"
    languages: Annotated[tuple[Language, ...], Field(min_length=1, max_length=6)] = ("en",)
    resolutions: Annotated[tuple[Resolution, ...], Field(min_length=1, max_length=3)] = (203, 300, 600)
    width_mm: Length
    height_mm: Length
    corner_radius_mm: Offset = 0.0
    margin_mm: Offset
    reading_distance_mm: Distance
    least_survival: Share = 0.0
    holes: Annotated[tuple[Hole, ...], Field(max_length=8)] = ()
    colour_band: ColourBand
    rules: Annotated[tuple[Box, ...], Field(max_length=24)] = ()
    fields: Annotated[tuple[TextField, ...], Field(min_length=1, max_length=40)]
    symbols: Annotated[tuple[Symbol, ...], Field(min_length=1, max_length=8)]
    pictures: Annotated[tuple[Picture, ...], Field(max_length=4)] = ()

    def faults(self) -> Iterator[Fault]:
        """Everything that is wrong between the parts."""
        if self.name in RESERVED_NAMES:
            yield Fault("name_reserved", ("name",), "calls of the API have this name")
        yield from self._beyond()
        yield from self._on_each_other()
        yield from self._languages_wrong()
        yield from self._not_shown()

    def filled(self) -> list[tuple[Path, Box]]:
        """Every box that text, symbols, pictures or rules fill, with its path."""
        return [
            (("colour_band", "word"), self.colour_band.word),
            *((("rules", index), box) for index, box in enumerate(self.rules)),
            *((("fields", index), field) for index, field in enumerate(self.fields)),
            *((("symbols", index), symbol) for index, symbol in enumerate(self.symbols)),
            *((("pictures", index), picture) for index, picture in enumerate(self.pictures)),
        ]

    def _beyond(self) -> Iterator[Fault]:
        size = f"the mark of {self.width_mm:g} × {self.height_mm:g} mm"
        band: Path = ("colour_band",)
        shapes = [((*band, "shapes", index), box) for index, box in enumerate(self.colour_band.shapes)]
        for path, box in [(band, self.colour_band), *shapes, *self.filled()]:
            right, bottom = box.x_mm + box.width_mm, box.y_mm + box.height_mm
            if right > self.width_mm + EDGE_TOLERANCE_MM or bottom > self.height_mm + EDGE_TOLERANCE_MM:
                yield Fault("beyond_edge", path, f"{called(path, box)} reaches beyond {size}")
        for index, hole in enumerate(self.holes):
            if hole.x_mm > self.width_mm or hole.y_mm > self.height_mm:
                yield Fault("beyond_edge", ("holes", index), f"holes[{index}] lies beyond {size}")

    def _on_each_other(self) -> Iterator[Fault]:
        for (first_path, first), (second_path, second) in combinations(self.filled(), 2):
            if not first.overlaps(second):
                continue
            if isinstance(first, TextField) and isinstance(second, TextField) and exclude(first.when, second.when):
                continue
            pair = f"{called(first_path, first)} and {called(second_path, second)}"
            yield Fault("boxes_overlap", second_path, f"{pair} overlap; some text would one day lie on the other")

    def _languages_wrong(self) -> Iterator[Fault]:
        if len(set(self.languages)) < len(self.languages):
            yield Fault("language_twice", ("languages",), "a language is named twice")
        for index, field in enumerate(self.fields):
            if field.language is not None and field.language not in self.languages:
                what = f"the template has no language '{field.language}', so this text would never be printed"
                yield Fault("language_unknown", ("fields", index, "language"), what)
            wanted = () if not field.words else self.languages if field.language is None else (field.language,)
            lacking = [language for language in wanted if language not in field.words]
            if lacking:
                yield Fault("words_missing", ("fields", index, "words"), f"there are no words in {', '.join(lacking)}")

    def _not_shown(self) -> Iterator[Fault]:
        for wanted in ALWAYS_SHOWN:
            if not one_always_holds(field.when for field in self.fields if wanted in field.show):
                what = f"no field shows the {wanted} on every mark; every mark shows {', '.join(ALWAYS_SHOWN)}"
                yield Fault("not_shown", ("fields",), what)


def called(path: Path, box: Box) -> str:
    """A part as errors name it: its path, and what a text shows."""
    return path_text(path) + (f" ({box.name})" if isinstance(box, TextField) else "")


class LabelTemplate(TemplateParts):
    """One tag format, of which nothing is wrong that its file alone can tell."""

    @model_validator(mode="after")
    def _together(self) -> Self:
        for found in self.faults():
            raise fault(found.rule, found.path, found.what)
        return self


def label_template_schema() -> dict[str, Any]:
    """The model as JSON Schema."""
    schema = LabelTemplate.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def schema_text() -> str:
    """The JSON Schema as it lies in ``label_template.schema.json``."""
    return json.dumps(label_template_schema(), indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")  # noqa: T201  printing is what this command is for
