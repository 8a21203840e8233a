"""The lint of a label template: everything that is wrong with it, each finding pointing at line and field.

First what the file alone tells (``schemas.template_reading``), then what a ruler tells of its boxes, then what the
worst case tells that the shop's records hold: the longest text of every kind, every stock colour, every resolution that
the template is made for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from schemas.label_template import LabelTemplate, TemplateParts, TextField
from schemas.template_reading import Reading, unchecked
from schemas.toml_places import Path
from service.errors import BadInput
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.dots import dots_per_mm
from service.marks.items import Item, Layout, TextRun
from service.marks.layout import bare_layout, parts
from service.marks.layout_lint import faults_of_items
from service.marks.lettering import (
    PREFERRED_VISUAL_ANGLE_ARCMIN,
    Typeface,
    Weight,
    least_cap_height_mm,
)
from service.marks.template_boxes import box_findings
from service.marks.template_findings import Pointer, TemplateFinding, merged, of_fault
from service.marks.template_glyphs import glyph_findings
from service.marks.template_links import link_findings
from service.marks.template_modules import module_findings
from service.marks.worst_case import Recorded, on_which_they_hold, worst_facts
from service.rules.colours import STOCK_COLOURS

#: A fault of the boxes, and the faults of the ink that follow from it and are not told again.
_FOLLOWS = {
    "boxes_overlap": ("overlap",),
    "contrast": ("overlap",),
    "beyond_edge": ("outside_margin", "quiet_zone_at_edge", "in_cut_corner", "overlap"),
    "outside_margin": ("outside_margin",),
    "on_hole": ("on_hole",),
    "in_cut_corner": ("in_cut_corner",),
    "module_under_a_dot": ("symbol_does_not_fit",),
    "no_whole_dots": ("symbol_does_not_fit",),
    "too_small_to_read": ("too_small_to_read",),
    "missing_glyph": ("missing_glyph",),
}


def lint_template(
    reading: Reading, recorded: Recorded, typeface: Typeface, *, source: str
) -> tuple[TemplateFinding, ...]:
    """Everything that is wrong with a template.

    Args:
        reading: of its file, from ``schemas.template_reading``.
        recorded: what the shop's records hold; an empty ``Recorded()`` stands for a shop that has just begun.
        typeface: metrics of both weights.
        source: what to call the file in findings.
    """
    findings = [of_fault(fault, source=source) for fault in reading.faults]
    if reading.parts is None:
        return merged(findings)
    pointer = Pointer(reading, source)
    template = unchecked(reading.parts)
    findings += box_findings(template, pointer)
    findings += module_findings(template, pointer)
    findings += glyph_findings(template, recorded, typeface, pointer)
    worst = worst_facts(recorded, typeface)
    findings += link_findings(template, worst["regular"], pointer)
    told = {(rule, _part(finding)) for finding in findings for rule in _FOLLOWS.get(finding.rule, ())}
    drawn = _drawn(template, worst, typeface, pointer)
    findings += [finding for finding in drawn if (finding.rule, _part(finding)) not in told]
    return merged(findings)


def _part(finding: TemplateFinding) -> str:
    """The part of the template that a finding is about: ``fields[2]`` of ``fields[2].min_cap_mm``."""
    return finding.field.partition(".")[0]


def part_paths(template: TemplateParts) -> list[Path]:
    """The paths of the parts in the order in which ``layout.parts`` places them."""
    return [
        ("colour_band",),
        *(("rules", index) for index in range(len(template.rules))),
        *(("fields", index) for index in range(len(template.fields))),
        *(("symbols", index) for index in range(len(template.symbols))),
        *(("pictures", index) for index in range(len(template.pictures))),
    ]


def wordless(reading: Reading) -> set[Path]:
    """The texts, by their paths in the file, that lack words in one of their languages and so can be set in none."""
    return {fault.path[:2] for fault in reading.faults if fault.rule == "words_missing"}


def as_far_as_it_goes(reading: Reading, facts: MarkFacts, typeface: Typeface, per_mm: float) -> Layout | None:
    """A mark of a template that may have faults: what has room stands where it would; None where the size is wrong."""
    if reading.parts is None or {"width_mm", "height_mm"} & reading.stand_ins:
        return None
    template, items, left_out = unchecked(reading.parts), list[Item](), wordless(reading)
    for path, place in zip(
        part_paths(template), parts(template, facts, typeface, per_mm, black_only=False), strict=True
    ):
        if path[0] in reading.stand_ins or reading.path(path) in left_out:
            continue
        with suppress(BadInput):
            items.extend(place())
    return bare_layout(template, per_mm, tuple(items), title=facts.number)


@dataclass(frozen=True, slots=True)
class _Mark:
    """One mark of the worst case: its facts for letters of each weight, and which fields it is looked at for."""

    facts: dict[Weight, MarkFacts]
    resolution: int
    of: str


def _drawn(
    template: LabelTemplate, worst: dict[Weight, MarkFacts], typeface: Typeface, pointer: Pointer
) -> Iterator[TemplateFinding]:
    """What is found when the worst case is drawn: at each resolution, in each condition, in each stock colour."""
    first = template.resolutions[0]
    found: dict[tuple[str, str], tuple[TemplateFinding, list[int]]] = {}
    for mark in _marks(template, worst):
        for finding in _findings_of(template, mark, typeface, pointer):
            known = found.setdefault((finding.rule, finding.field), (finding, []))
            if mark.resolution not in known[1]:
                known[1].append(mark.resolution)
    for finding, resolutions in found.values():
        everywhere = finding.rule != "symbol_does_not_fit" or len(resolutions) == len(template.resolutions)
        where = "" if everywhere and first in resolutions else f" (at {_listed(resolutions)} dpi)"
        yield replace(finding, message=finding.message + where)


def _listed(numbers: Iterable[int]) -> str:
    return ", ".join(map(str, numbers))


def _marks(template: LabelTemplate, worst: dict[Weight, MarkFacts]) -> Iterator[_Mark]:
    for resolution in template.resolutions:
        yield _Mark(worst, resolution, "all")
    first = template.resolutions[0]
    for when in dict.fromkeys(field.when for field in template.fields if field.when):
        yield _Mark({weight: on_which_they_hold(when, facts) for weight, facts in worst.items()}, first, "all")
    for word in STOCK_COLOURS:
        coloured = {weight: replace(facts, stock_colour=word) for weight, facts in worst.items()}
        yield _Mark(coloured, first, "colour_band")


def _findings_of(
    template: LabelTemplate, mark: _Mark, typeface: Typeface, pointer: Pointer
) -> Iterator[TemplateFinding]:
    placed: list[Item] = []
    path_of: dict[int, Path] = {}
    for path, items in _placed(template, mark, typeface, pointer.reading):
        if isinstance(items, BadInput):
            yield pointer.pointed(_as_finding(items), _sharper(path, items))
            continue
        placed.extend(items)
        path_of.update({id(item): path for item in items})
        yield from _preferred(template, path, items, pointer)
    layout = bare_layout(template, dots_per_mm(mark.resolution), tuple(placed))
    for item, finding in faults_of_items(template, layout):
        yield pointer.pointed(finding, path_of[id(item)])


def _placed(
    template: LabelTemplate, mark: _Mark, typeface: Typeface, reading: Reading
) -> Iterator[tuple[Path, Sequence[Item] | BadInput]]:
    """Each part of the mark with its items, or with what stands against them."""
    per_mm = dots_per_mm(mark.resolution)
    regular, bold = (
        parts(template, mark.facts[weight], typeface, per_mm, black_only=False) for weight in ("regular", "bold")
    )
    left_out = wordless(reading)
    for path, in_regular, in_bold in zip(part_paths(template), regular, bold, strict=True):
        if path[0] in reading.stand_ins or (mark.of != "all" and path[0] != mark.of):
            continue
        if reading.path(path) in left_out:
            continue
        place = in_bold if _weight(template, path) == "bold" else in_regular
        try:
            yield path, place()
        except BadInput as error:
            yield path, error


def _weight(template: LabelTemplate, path: Path) -> Weight:
    if path[0] == "colour_band":
        return template.colour_band.word.weight
    return template.fields[int(path[1])].weight if path[0] == "fields" else "regular"


#: What a template's author does about a text or symbol that has no room, and whose text it is.
_NO_ROOM = {
    "field_does_not_fit": (
        "with the longest text on record ",
        "Give it more room or another line, or print less in it",
    ),
    "symbol_does_not_fit": ("", "Give it more room, or state finer resolutions only"),
}


def _as_finding(error: BadInput) -> Finding:
    before, todo = _NO_ROOM.get(error.code, ("", error.todo))
    return Finding(
        rule=error.code,
        level="error",
        message=before + error.what,
        field=error.field,
        value=str(error.value),
        todo=todo,
        place=error.place or "",
    )


def _sharper(path: Path, error: BadInput) -> Path:
    """The field of a part that an error is about."""
    if path == ("colour_band",):
        return ("colour_band", "word")
    return (*path, "min_module_mm") if error.code == "symbol_does_not_fit" and path[0] == "symbols" else path


def _preferred(
    template: LabelTemplate, path: Path, items: Sequence[Item], pointer: Pointer
) -> Iterator[TemplateFinding]:
    """A note where the longest text comes out smaller than is preferred."""
    if path[0] != "fields":
        return
    runs = [item for item in items if isinstance(item, TextRun)]
    smallest = min(runs, key=lambda run: run.cap_height_mm, default=None)
    if smallest is None:
        return
    distance = smallest.reading_distance_mm
    preferred = least_cap_height_mm(distance, PREFERRED_VISUAL_ANGLE_ARCMIN)
    if smallest.cap_height_mm < preferred - 0.01:
        field = template.fields[int(path[1])]
        assert isinstance(field, TextField)
        yield pointer.finding(
            "smaller_than_preferred",
            (*path, "max_cap_mm" if field.max_cap_mm < preferred else "min_cap_mm"),
            f"the longest text comes out with capitals of {smallest.cap_height_mm:.2f} mm; h = 2 D tan(theta/2) "
            f"prefers {preferred:.2f} mm at D = {distance:g} mm and theta = {PREFERRED_VISUAL_ANGLE_ARCMIN:g}'",
            value=" ".join(run.text for run in runs).replace(" -", "-"),
            todo="Give it more room if there is any",
        )
