"""A template read with every fault named: the file, the TOML, each field, and what of it can be looked at further.

A reading goes on behind a fault. A part with a fault is left out and the others are looked at together; an unknown
field is passed over; a name, size or colour band that is wrong gets a stand-in. Only where no text or no symbol is
left the reading ends.
"""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from schemas.label_parts import ColourBand, Hole, Picture, Symbol, TextField
from schemas.label_template import Box, Fault, LabelTemplate, TemplateParts
from schemas.toml_places import Path, TomlPlaces, brief, path_text, value_at

#: The largest template file; the shipped ones have 5 kB.
MOST_BYTES = 256 * 1024

#: How deep tables, arrays and dotted keys may be nested; a template needs four.
MOST_DEPTH = 12

#: More faults than this are not listed; nobody reads them before the first are mended.
MOST_FAULTS = 200

_SECTIONS: Mapping[str, type[Box] | type[Hole]] = {
    "fields": TextField, "symbols": Symbol, "rules": Box, "holes": Hole, "pictures": Picture,
}  # fmt: skip
_SPECK: Mapping[str, float] = {"x_mm": 0.0, "y_mm": 0.0, "width_mm": 1e-7, "height_mm": 1e-7}
#: What stands for a part without which nothing could be looked at; nothing that follows from it is told.
_STAND_INS: Mapping[str, object] = {
    "name": "unnamed", "title": "unnamed", "stock": "unnamed", "width_mm": 1000.0, "height_mm": 1000.0,
    "margin_mm": 0.0, "reading_distance_mm": 1e-3,
    "colour_band": {**_SPECK, "shapes": [_SPECK], "word": {**_SPECK, "max_cap_mm": 1e-3, "min_cap_mm": 1e-3}},
}  # fmt: skip
_OPTIONAL = ("finish", "languages", "resolutions", "corner_radius_mm", "least_survival", *_SECTIONS)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFault:
    """A fault of a template that its file alone can tell.

    Attributes:
        rule: its stable name.
        path: to the value at fault; empty for the whole file.
        what: what is wrong, a clause without a full stop.
        value: the value, as text.
        todo: the next thing to do, without a full stop.
        line: where the value stands, None for the whole file or where no text was given.
    """

    rule: str
    path: Path
    what: str
    value: str = ""
    todo: str = "Correct the template"
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What a template file says.

    Attributes:
        faults: everything that is wrong, in the order of the file.
        parts: the parts that are right in themselves, None if nothing can be laid out.
        original: for each section the indexes in the file of the parts that were kept.
        places: lines by path; empty where no text was given.
        left_out: whether parts were left out, so that what is missing cannot be told.
        stand_ins: the names of the parts that stand-ins stand for; nothing is told of them.
    """

    faults: tuple[ReadFault, ...]
    parts: TemplateParts | None = None
    original: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    places: TomlPlaces = field(default_factory=TomlPlaces)
    left_out: bool = False
    stand_ins: frozenset[str] = frozenset()

    def path(self, path: Path) -> Path:
        """A path in ``parts`` as the file has it."""
        if len(path) >= 2 and isinstance(path[1], int) and path[0] in self.original:
            return (path[0], self.original[str(path[0])][path[1]], *path[2:])
        return path

    @property
    def template(self) -> LabelTemplate | None:
        """The template, if nothing is wrong with it that its file can tell."""
        return None if self.faults or self.parts is None else unchecked(self.parts)


def unchecked(parts: TemplateParts) -> LabelTemplate:
    """The parts as layouts take them, whatever is wrong between them."""
    return LabelTemplate.model_construct(**{name: getattr(parts, name) for name in TemplateParts.model_fields})


def read_bytes(data: bytes) -> Reading:
    """The reading of a file's bytes; no bytes whatever make it fail."""
    if len(data) > MOST_BYTES:
        what = f"it has {len(data)} bytes; a template has at most {MOST_BYTES}"
        return _refused("too_large", what, "Name a template")
    if b"\0" in data:
        line = data[: data.index(b"\0")].count(b"\n") + 1
        return _refused("not_text", "it holds the byte 0, so it is no text", "Name a TOML file", line=line)
    try:
        return read_text(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        what = f"byte {error.start + 1} is no UTF-8 ({error.reason})"
        return _refused("not_text", what, "Save it as UTF-8", line=line)


def read_text(text: str) -> Reading:
    """The reading of a TOML text."""
    if len(text) > MOST_BYTES:
        what = f"it has {len(text)} characters; a template has at most {MOST_BYTES}"
        return _refused("too_large", what, "Shorten it")
    places = TomlPlaces.of(text)
    if places.depth > MOST_DEPTH:
        what = f"it is nested {places.depth} deep{_DEPTH_TOLD}"
        return _refused("nested_too_deep", what, _FLATTER, line=places.deepest)
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a number of thousands of digits is a plain ValueError
        return _refused_toml(text, places, error)
    return read_data(data, places)


def read_data(data: Mapping[str, Any], places: TomlPlaces | None = None) -> Reading:
    """The reading of a template as tables and lists, for one from JSON."""
    if _deeper_than(data, MOST_DEPTH):
        return _refused("nested_too_deep", f"it is nested too deep{_DEPTH_TOLD}", _FLATTER)
    places = places or TomlPlaces()
    faults: list[ReadFault] = []
    kept, original = copy.deepcopy(dict(data)), _numbered(data)
    left_out, stand_ins = False, set[str]()
    for _round in range(len(data) + sum(map(len, original.values())) + 2):
        try:
            parts = TemplateParts.model_validate(kept)
        except ValidationError as error:
            found = _faults_of(error, kept, original, places)
            faults += [fault for fault in found if fault not in faults]
            if not _mend(kept, original, error, stand_ins):
                return Reading(_in_order(faults), places=places)
            left_out = True
            continue
        numbers = {name: tuple(indexes) for name, indexes in original.items()}
        reading = Reading((), parts, numbers, places, left_out, frozenset(stand_ins))
        faults += _together(reading, data, spared=left_out)
        return replace(reading, faults=_in_order(faults))
    raise AssertionError("each round leaves something out")


def _deeper_than(data: object, most: int) -> bool:
    """Whether tables and lists are nested deeper; looked at layer by layer, so that no depth is too deep to look at."""
    layer: list[object] = [data]
    for _depth in range(most + 1):
        layer = [
            inner
            for one in layer
            if isinstance(one, dict | list)
            for inner in (one.values() if isinstance(one, dict) else one)
        ]
    return bool(layer)


def _numbered(data: Mapping[str, Any]) -> dict[str, list[int]]:
    return {name: list(range(len(data[name]))) for name in _SECTIONS if isinstance(data.get(name), list)}


def _together(reading: Reading, data: Mapping[str, Any], *, spared: bool) -> Iterator[ReadFault]:
    """The faults between the parts; what may only seem missing because a part was left out is not told."""
    assert reading.parts is not None
    for found in reading.parts.faults():
        if spared and found.rule in ("not_shown", "words_missing", "language_unknown"):
            continue
        if found.path[0] in reading.stand_ins:
            continue
        path = reading.path(found.path)
        yield ReadFault(
            rule=found.rule,
            path=path,
            what=_in_the_file(found, reading),
            value=_quoted(value_at(data, path)),
            todo=_TODO.get(found.rule, "Correct the template"),
            line=reading.places.line(path),
        )


def _quoted(value: object) -> str:
    """A single value as findings quote it; a table or list is not repeated."""
    return "" if isinstance(value, dict | list) else brief(value)


def _in_the_file(found: Fault, reading: Reading) -> str:
    """A message with the indexes that its parts have in the file."""
    return re.sub(
        r"\b(fields|symbols|rules|holes|pictures)\[(\d+)\]",
        lambda match: path_text(reading.path((match[1], int(match[2])))),
        found.what,
    )


def _details(error: ValidationError) -> list[ErrorDetails]:
    """The faults of single values. A list is not called too short because what is in it is wrong."""
    details = error.errors(include_url=False)
    within = {detail["loc"][:length] for detail in details for length in range(len(detail["loc"]))}
    return [detail for detail in details if not (detail["type"] == "too_short" and detail["loc"] in within)]


def _faults_of(
    error: ValidationError, data: Mapping[str, Any], original: Mapping[str, list[int]], places: TomlPlaces
) -> Iterator[ReadFault]:
    numbering = Reading((), original={name: tuple(kept) for name, kept in original.items()})
    for detail in _details(error)[:MOST_FAULTS]:
        inner = (*detail["loc"], *detail.get("ctx", {}).get("path", ()))
        path = numbering.path(tuple(part for part in inner if part != "[key]"))
        missing = detail["type"] == "missing"
        rule, todo = _rule_of(detail)
        yield ReadFault(
            rule=rule,
            path=path,
            what=_words(detail),
            value="(not given)" if missing else _quoted(value_at(data, inner)),
            todo=todo,
            line=places.line(path),
        )


def _mend(data: dict[str, Any], original: dict[str, list[int]], error: ValidationError, stand_ins: set[str]) -> bool:
    """Leave out what is wrong; False if something is wrong without which nothing can be laid out."""
    gone: set[tuple[str, int]] = set()
    for detail in _details(error):
        first, *rest = detail["loc"] or ("",)
        if detail["type"] == "extra_forbidden" and _without(data, tuple(detail["loc"])):
            continue
        if first in _SECTIONS and rest and isinstance(rest[0], int):
            gone.add((str(first), rest[0]))
        elif first in _STAND_INS:
            data[str(first)] = _STAND_INS[str(first)]
            stand_ins.add(str(first))
        elif first in _OPTIONAL and first not in ("fields", "symbols") and first in data:
            del data[str(first)]
            original.pop(str(first), None)
        else:
            return False
    for name, index in sorted(gone, reverse=True):
        del data[name][index]
        del original[name][index]
    return all(data[name] for name, _index in gone if name in ("fields", "symbols"))


def _without(data: object, path: Path) -> bool:
    """Take an unknown field out."""
    holder = value_at(data, path[:-1])
    return isinstance(holder, dict) and holder.pop(path[-1], _NOTHING) is not _NOTHING


_NOTHING = object()
_DEPTH_TOLD = f"; a template is nested at most {MOST_DEPTH} deep"
_FLATTER = "Write tables as [[fields]] and values as numbers and words"


def _rule_of(detail: ErrorDetails) -> tuple[str, str]:
    """The rule that a fault of one field breaks, and what to do."""
    kind, path = detail["type"], detail["loc"]
    if kind == "template_fault":
        rule = str(detail["ctx"]["rule"])
        return rule, _TODO.get(rule, "Correct the template")
    if path in (("colour_band", "word"), ("colour_band", "shapes")) and kind in ("missing", "too_short"):
        return "colour_alone", "Give the band its shapes and its word"
    if kind == "missing":
        return "not_given", f"Give {path_text(path)}"
    if kind == "extra_forbidden":
        near = get_close_matches(str(path[-1]), _names_of(path[:-1]), n=1)
        return "unknown_field", f"Write {near[0]}" if near else "Take it out; the schema lists what there is"
    for beginnings, rule, todo in _KINDS:
        if kind.startswith(beginnings):
            return rule, todo
    return "wrong_type", "Give a value of the type named"


#: How the kinds of faults that single fields have begin, with their rule and what to do.
_KINDS: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("literal_error",), "unknown_choice", "Use one of those named"),
    (("greater", "less", "finite"), "out_of_range", "Give a length, distance or share within the bounds"),
    (("too_", "string_too_"), "wrong_count", "Bring it within the bounds"),
    (("string_pattern",), "wrong_form", "Write it in the form named"),
)


def _names_of(path: Path) -> list[str]:
    """The fields that a table may have."""
    named = {**_SECTIONS, "colour_band": ColourBand}
    if not path:
        return list(TemplateParts.model_fields)
    model: Any = named.get(str(path[0]), Box)
    if "word" in path:
        model = ColourBand.model_fields["word"].annotation
    return list(model.model_fields) if "shapes" not in path else list(Box.model_fields)


def _words(detail: ErrorDetails) -> str:
    what = detail["msg"]
    if detail["type"] == "extra_forbidden":
        what = "there is no such field in a template"
    elif detail["type"] == "missing":
        what = "it is missing"
    elif detail["type"] == "string_pattern_mismatch" and detail["loc"] == ("name",):
        what = "a name has lower-case letters, digits and single hyphens"
    elif detail["type"] == "string_pattern_mismatch":
        what = "it is no language tag such as en, de or sr-Latn"
    elif detail["type"] in ("tuple_type", "too_short", "too_long"):
        what = what.replace("tuple", "list", 1).replace(" after validation", "")
    return what[:1].lower() + what[1:]


_TODO: Mapping[str, str] = {
    "beyond_edge": "Move or narrow the box, or make the mark larger",
    "boxes_overlap": "Move or narrow one of them, or give both conditions that exclude each other",
    "not_shown": "Add a field that shows it on every mark",
    "words_missing": "Write the words in each language of the template, or name the one language of the field",
    "language_unknown": "Add the language to the template's languages, or take it off the field",
    "language_twice": "Name each language once",
    "floor_above_ceiling": "Let the least be no more than the most",
    "nothing_to_print": "Name what it shows, or give it words",
    "before_and_words": "Keep one of the two",
    "content_unfit": "Choose another content or another symbol",
    "frame_unfit": "Take the frame off",
    "name_reserved": "Choose another name",
}


def _refused(rule: str, what: str, todo: str, *, line: int | None = None) -> Reading:
    return Reading((ReadFault(rule=rule, path=(), what=what, todo=todo, line=line),))


def _refused_toml(text: str, places: TomlPlaces, error: Exception) -> Reading:
    """A text that is no TOML: the line, and the key that stands on it."""
    if isinstance(error, RecursionError):
        return _refused("nested_too_deep", "it is nested too deep to be read", "Write it flatter")
    if not isinstance(error, tomllib.TOMLDecodeError):
        digits = re.search(r"\d{1000,}", text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else None
        return _refused("not_toml", "a number has thousands of digits", "Give a length that a mark can have", line=line)
    match = re.search(r"at line (\d+)", str(error))
    line = int(match[1]) if match else text.count("\n") + 1 if "end of document" in str(error) else None
    path = places.path_on(line) if line else ()
    twice = "Cannot overwrite" in str(error) or "Cannot declare" in str(error) or "Cannot mutate" in str(error)
    fault = ReadFault(
        rule="named_twice" if twice else "not_toml",
        path=path,
        what=f"{'a key or table stands twice' if twice else 'it is no TOML'}: {error}",
        value=text.splitlines()[line - 1].strip()[:80] if line and line <= len(text.splitlines()) else "",
        todo="Take one of them out" if twice else "Correct the file at the line named",
        line=line,
    )
    return Reading((fault,), places=places)


def _in_order(faults: list[ReadFault]) -> tuple[ReadFault, ...]:
    return tuple(sorted(faults, key=lambda fault: fault.line or 0))[:MOST_FAULTS]
