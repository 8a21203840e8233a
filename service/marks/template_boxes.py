"""What a ruler tells of a template's boxes: letters for their distance, what lies under them, edges, conditions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from schemas.label_conditions import Subject, contradict, possible_states
from schemas.label_parts import FieldName, Lettered
from schemas.label_template import LabelTemplate, TextField
from schemas.toml_places import Path
from service.marks.items import BLACK, Extent
from service.marks.layout_lint import HEIGHT_TOLERANCE_MM
from service.marks.lettering import (
    LEAST_VISUAL_ANGLE_ARCMIN,
    PREFERRED_VISUAL_ANGLE_ARCMIN,
    least_cap_height_mm,
)
from service.marks.template_findings import Pointer, TemplateFinding
from service.marks.words import at_hand
from service.rules.colours import MIN_CONTRAST, STOCK_COLOURS, contrast_ratio

#: Of which subject a text speaks: in the state "no" or "unknown" it is empty.
_SPEAKS_OF: Mapping[FieldName, Subject] = {
    "mass": "mass", "hand": "hand", "quantity": "quantity", "serves": "serves", "colour": "colour",
    "revision": "revision", "segment": "segment", "segment_count": "segment",
}  # fmt: skip
_SILENT = frozenset({"no", "unknown"})

#: What says in words where a piece goes.
_PLACES: frozenset[FieldName] = frozenset({"place", "assembly", "assembly_code"})


def box_findings(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    """Everything that the boxes and conditions of a template tell, whatever is written in them."""
    yield from _legible(template, pointer)
    yield from _on_the_band(template, pointer)
    yield from _conditions(template, pointer)
    yield from _pictures(template, pointer)
    for index, language in enumerate(template.languages):
        if not at_hand(language):
            yield pointer.finding(
                "language_without_words",
                ("languages", index),
                f"the trade's words are not known in '{language}'; decks, hands and colours come out in English",
                value=language,
                todo="Write the words that matter as the words of a field",
            )


def _legible(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    for path, box in template.filled():
        if not isinstance(box, Lettered) or path[0] in pointer.reading.stand_ins:
            continue
        floor, distance = box.min_cap_mm, box.reading_distance_mm or template.reading_distance_mm
        least = least_cap_height_mm(distance)
        if floor < least - HEIGHT_TOLERANCE_MM:
            preferred = least_cap_height_mm(distance, PREFERRED_VISUAL_ANGLE_ARCMIN)
            yield pointer.finding(
                "too_small_to_read",
                (*path, "min_cap_mm"),
                f"capitals of {floor:g} mm are too small for {distance:g} mm: h = 2 D tan(theta/2) asks for "
                f"{least:.2f} mm at theta = {LEAST_VISUAL_ANGLE_ARCMIN:g}' and prefers {preferred:.2f} mm at "
                f"{PREFERRED_VISUAL_ANGLE_ARCMIN:g}'",
                value=f"{floor:g}",
                todo=f"Set min_cap_mm to {least:.2f} or more, or state the shorter distance",
            )


def _on_the_band(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    """Texts and symbols on the colour band: their ink is black or white whatever the colour under it."""
    if "colour_band" in pointer.reading.stand_ins:
        return
    for path, box in template.filled():
        if path[0] not in ("fields", "symbols") or not template.colour_band.overlaps(box):
            continue
        if isinstance(box, TextField) and box.reversed:
            continue  # its letters stand on a black block
        ratios = {word: contrast_ratio(BLACK, colour.rgb) for word, colour in STOCK_COLOURS.items()}
        pale = {word: ratio for word, ratio in ratios.items() if ratio < MIN_CONTRAST}
        named = ", ".join(f"{ratio:.1f} on {word}" for word, ratio in sorted(pale.items(), key=lambda pair: pair[1]))
        yield pointer.finding(
            "contrast",
            path,
            f"it lies on the colour band, where its black reaches less than {MIN_CONTRAST:g} to 1: {named}",
            value=getattr(box, "name", getattr(box, "kind", "")),
            todo="Move it off the band",
        )


def _conditions(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    for index, field in enumerate(template.fields):
        path: Path = ("fields", index, "when")
        if contradict(field.when):
            what = f"{' and '.join(field.when)} never hold together, so it is never printed"
        elif field.show and all(_silent(name, field) for name in field.show):
            what = f"where {' and '.join(field.when)} hold there is no {' or '.join(field.show)} to show"
        else:
            continue
        yield pointer.finding(
            "condition_never_holds",
            path,
            what,
            value=", ".join(field.when),
            todo="Take a condition out, or the field",
        )


def _silent(name: FieldName, field: TextField) -> bool:
    """Whether a text is empty wherever the field's conditions hold."""
    subject = _SPEAKS_OF.get(name)
    states = possible_states(field.when).get(subject) if subject else None
    return states is not None and states <= _SILENT


def _pictures(template: LabelTemplate, pointer: Pointer) -> Iterator[TemplateFinding]:
    """Pictures are looked at by their boxes: what is in them differs from kit to kit."""
    for index, picture in enumerate(template.pictures):
        path: Path = ("pictures", index)
        said = any(_PLACES & set(field.show) and not field.when for field in template.fields)
        if picture.kind == "plan" and not said and not pointer.reading.left_out:
            yield pointer.finding(
                "colour_alone",
                (*path, "kind"),
                "the plan says by colour alone where the piece goes; no text says it on every mark",
                value=picture.kind,
                todo="Add a field that shows the place or the assembly",
            )
        extent = Extent(picture.x_mm, picture.y_mm, picture.x_mm + picture.width_mm, picture.y_mm + picture.height_mm)
        margin = template.margin_mm
        if not Extent(margin, margin, template.width_mm - margin, template.height_mm - margin).holds(extent):
            yield pointer.finding(
                "outside_margin",
                path,
                f"it comes nearer to the edge than the margin of {margin:g} mm",
                value=picture.kind,
                todo="Move or narrow the box",
            )
        for hole in template.holes:
            if extent.distance_to(hole.x_mm, hole.y_mm) < hole.diameter_mm / 2 + hole.clearance_mm - 1e-6:
                yield pointer.finding(
                    "on_hole",
                    path,
                    f"it reaches under the fixing at {hole.x_mm:g}, {hole.y_mm:g} mm",
                    value=picture.kind,
                    todo="Move the box clear of the hole and its ring",
                )
