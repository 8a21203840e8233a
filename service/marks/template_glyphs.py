"""Characters that the lettering lacks, in a template's own words and in everything on record that it would show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from schemas.label_parts import FieldName
from schemas.label_template import LabelTemplate
from schemas.toml_places import Path
from service.marks.content import composed
from service.marks.lettering import Typeface
from service.marks.template_findings import Pointer, TemplateFinding
from service.marks.worst_case import Recorded, unprintable

#: The fact, by its name on a mark, that a field shows.
FACT_OF: Mapping[FieldName, str] = {
    "container": "container_words", "assembly": "assembly_name", "segment": "segment_of", "colour": "stock_colour",
    "shop": "shop_name", "telephone": "shop_telephone", "address": "shop_address",
}  # fmt: skip

#: So many texts of one field are quoted.
_QUOTED = 3


def glyph_findings(
    template: LabelTemplate, recorded: Recorded, typeface: Typeface, pointer: Pointer
) -> Iterator[TemplateFinding]:
    """Every text that would come out with a character missing: the character, the text and the field are named."""
    lacking = unprintable(recorded, typeface)
    for index, field in enumerate(template.fields):
        path: Path = ("fields", index)
        own: dict[Path, str] = {("words", language): text for language, text in field.words.items()}
        own |= {("before",): field.before, ("separator",): field.separator}
        for where, text in own.items():
            missing = typeface[field.weight].missing(composed(text))
            if missing:
                yield _lacking((*path, *where), text, missing[0], "its own words", pointer)
        for name in field.show:
            texts = lacking.get(FACT_OF.get(name, name), ())
            for text, char in texts[:_QUOTED]:
                more = f", and {len(texts) - _QUOTED} more texts like it" if len(texts) > _QUOTED else ""
                yield _lacking((*path, "show", field.show.index(name)), text, char, f"{name} on record{more}", pointer)


def _lacking(path: Path, text: str, char: str, where: str, pointer: Pointer) -> TemplateFinding:
    shown = f"'{char}' (U+{ord(char):04X})" if char.isprintable() else f"the control character U+{ord(char):04X}"
    return pointer.finding(
        "missing_glyph",
        path,
        f"the lettering has no {shown}, character {composed(text).index(char) + 1} of '{text[:60]}' ({where})",
        value=text,
        todo="Write the text in Latin, Greek or Cyrillic letters",
    )
