"""One part of a template becomes items of the layout: the colour band, a rule, a text field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from schemas.label_template import Box, ColourBand, ColourWord, LabelTemplate, TextField
from service.errors import FieldDoesNotFit
from service.marks.conditions import holds
from service.marks.content import MarkFacts, composed, field_text
from service.marks.dots import nearest_dot
from service.marks.items import BLACK, WHITE, Block, Extent, Figure, Item, Rgb, TextRun
from service.marks.lettering import FontMetrics, Typeface, Weight, block_height_mm, fit, largest_cap_mm, line_pitch_mm
from service.marks.words import colour_word
from service.rules.colours import contrast_ratio, stock_colour

#: Border of a reversed text's black block beyond its ink, in capital heights.
GROUND_BORDER_CAPS = 0.25

#: Gap that sets the check of a number apart, in capital heights.
CHECK_GAP_CAPS = 0.22

#: A number in two lines breaks behind so many groups: those that name the kit, or those that name the machine.
NUMBER_BREAKS = (3, 2)

#: A band paler than this contrast to white paper gets a frame, or nobody would see where it ends.
PALE_CONTRAST = 1.6

#: Thickness of that frame.
FRAME_MM = 0.25


def place_band(
    band: ColourBand,
    facts: MarkFacts,
    typeface: Typeface,
    per_mm: float,
    *,
    template: LabelTemplate,
    black_only: bool,
) -> list[Item]:
    """The band in the stock colour with its shape and word; nothing where the stock colour is not on record.

    Raises:
        UnknownCode: the stock colour is in no table.
        FieldDoesNotFit: the word does not fit at its floor.
    """
    if not facts.stock_colour:
        return []
    colour = stock_colour(facts.stock_colour)
    ground, ink = (WHITE, BLACK) if black_only else (colour.rgb, colour.ink_rgb)
    extent = _snapped(band, per_mm)
    items: list[Item] = [Block("band", extent, ground)]
    if contrast_ratio(ground, WHITE) < PALE_CONTRAST:
        items += _frame(extent, max(1, nearest_dot(FRAME_MM, per_mm)) / per_mm)
    for box in band.shapes:
        side = min(box.width_mm, box.height_mm)
        left, bottom = box.x_mm + (box.width_mm - side) / 2, box.y_mm + (box.height_mm + side) / 2
        items += [
            Figure(tuple((left + x * side, bottom - y * side) for x, y in polygon), ink)
            for polygon in colour.shape.polygons
        ]
    word = colour_word(colour.word, template.languages[0])
    lettering = _Lettering(band.word, "colour", word, 1, ink, ground, template.reading_distance_mm)
    return items + _set_lines(lettering, typeface[band.word.weight], template=template)


def place_rule(rule: Box, per_mm: float) -> list[Item]:
    """A black line or block, at least one dot thick."""
    return [Block("rule", _snapped(rule, per_mm), BLACK)]


def place_text(
    field: TextField, facts: MarkFacts, typeface: Typeface, per_mm: float, *, template: LabelTemplate
) -> list[Item]:
    """The lines of a text field; nothing where the facts have nothing to show or a condition does not hold.

    Raises:
        FieldDoesNotFit: the text does not fit at its floor.
        MissingGlyph: the face lacks a letter.
    """
    text = wording_of(field, facts, template.languages)
    if not text:
        return []
    lettering = _lettering(field, text, template)
    if field.show == ("number",):
        return _set_number(lettering, typeface, template=template)
    runs = _set_lines(lettering, typeface[field.weight], template=template, reversed_=field.reversed)
    return [*([_ground(runs, per_mm)] if field.reversed else []), *runs]


@dataclass(frozen=True, slots=True)
class _Lettering:
    """A text on its way into a box."""

    box: TextField | ColourWord
    field: str
    text: str
    max_lines: int
    rgb: Rgb
    ground_rgb: Rgb
    usual_distance_mm: float

    def run(self, text: str, metrics: FontMetrics, weight: Weight, *, x: float, baseline: float, cap: float) -> TextRun:
        return TextRun(
            field=self.field,
            text=text,
            x_mm=x,
            baseline_mm=baseline,
            cap_height_mm=cap,
            size_mm=metrics.size_mm(cap),
            width_mm=metrics.text_width_mm(text, cap),
            rise_mm=metrics.rise_mm(text, cap),
            drop_mm=metrics.drop_mm(text, cap),
            weight=weight,
            rgb=self.rgb,
            ground_rgb=self.ground_rgb,
            reading_distance_mm=self.box.reading_distance_mm or self.usual_distance_mm,
        )

    def refusal(self, template: LabelTemplate) -> FieldDoesNotFit:
        box = self.box
        return FieldDoesNotFit(
            f"the text does not fit its {box.width_mm:g} × {box.height_mm:g} mm in {self.max_lines} "
            f"{'line' if self.max_lines == 1 else 'lines'} with letters of at least {box.min_cap_mm:g} mm",
            field=self.field,
            value=self.text,
            todo="Shorten the text or choose a larger format",
            place=f"template {template.name}",
        )


def _lettering(field: TextField, text: str, template: LabelTemplate) -> _Lettering:
    ink, ground = (WHITE, BLACK) if field.reversed else (BLACK, WHITE)
    return _Lettering(field, field.name, text, field.lines, ink, ground, template.reading_distance_mm)


def _set_lines(
    lettering: _Lettering, metrics: FontMetrics, *, template: LabelTemplate, reversed_: bool = False
) -> list[TextRun]:
    metrics.demand(lettering.text, field=lettering.field)
    box, border = lettering.box, GROUND_BORDER_CAPS if reversed_ else 0.0
    setting = fit(
        lettering.text,
        metrics,
        width_mm=box.width_mm,
        height_mm=box.height_mm,
        max_cap_mm=box.max_cap_mm,
        min_cap_mm=box.min_cap_mm,
        max_lines=lettering.max_lines,
        border_caps=border,
        separator=box.separator if isinstance(box, TextField) else "",
    )
    if setting is None:
        raise lettering.refusal(template)
    cap, lines = setting.cap_height_mm, setting.lines
    baseline = _first_baseline(box, lines, metrics, cap, border_mm=border * cap)
    pitch = line_pitch_mm(lines, metrics, cap)
    return [
        lettering.run(
            line,
            metrics,
            box.weight,
            x=_line_start(box, metrics.text_width_mm(line, cap), border_mm=border * cap),
            baseline=baseline + index * pitch,
            cap=cap,
        )
        for index, line in enumerate(lines)
    ]


def _set_number(lettering: _Lettering, typeface: Typeface, *, template: LabelTemplate) -> list[Item]:
    """A number, its check set apart: people read out the groups first and the check to prove them.

    It stands in one line, or where the template allows two and the letters come out larger so, in two.
    """
    box = lettering.box
    body, hyphen, check = lettering.text.rpartition("-")
    bold, regular = typeface["bold"], typeface["regular"]
    bold.demand(lettering.text, field=lettering.field)
    check_width = regular.text_width_mm(hyphen + check, 1.0)
    gap = CHECK_GAP_CAPS if body else 0.0
    best: tuple[float, tuple[str, ...], float] | None = None
    for lines in _number_lines(body, lettering.max_lines):
        last = bold.text_width_mm(lines[-1], 1.0) + gap + check_width
        longest = max(last, *(bold.text_width_mm(line, 1.0) for line in lines))
        block = (*lines[:-1], lines[-1] + hyphen + check)
        cap = largest_cap_mm(box.width_mm / longest, box.height_mm / block_height_mm(block, bold, 1.0), box.max_cap_mm)
        if best is None or cap > best[0]:
            best = cap, lines, last
    assert best is not None  # there is always the break into one line
    cap, lines, last = best
    if cap < box.min_cap_mm:
        raise lettering.refusal(template)
    block = (*lines[:-1], lines[-1] + hyphen + check)
    baseline = _first_baseline(box, block, bold, cap, border_mm=0.0)
    pitch = line_pitch_mm(block, bold, cap)
    runs: list[Item] = []
    for index, line in enumerate(lines[:-1]):
        start = _line_start(box, bold.text_width_mm(line, cap), border_mm=0.0)
        runs.append(lettering.run(line, bold, "bold", x=start, baseline=baseline + index * pitch, cap=cap))
    x, at = _line_start(box, last * cap, border_mm=0.0), baseline + (len(lines) - 1) * pitch
    if body:
        runs.append(lettering.run(lines[-1], bold, "bold", x=x, baseline=at, cap=cap))
    check_x = x + (bold.text_width_mm(lines[-1], 1.0) + gap) * cap
    runs.append(lettering.run(hyphen + check, regular, "regular", x=check_x, baseline=at, cap=cap))
    return runs


def _number_lines(body: str, max_lines: int) -> list[tuple[str, ...]]:
    """The ways to set a number without its check: in one line, broken behind the kit, or behind the machine."""
    groups = body.split("-")
    chosen: list[tuple[str, ...]] = [(body,)]
    if max_lines > 1:
        chosen += [("-".join(groups[:cut]) + "-", "-".join(groups[cut:])) for cut in NUMBER_BREAKS if cut < len(groups)]
    return chosen


def wording_of(field: TextField, facts: MarkFacts, languages: Sequence[str]) -> str:
    """All that a text field says on one mark: fixed words, then what it shows; empty where it stays blank.

    What it shows comes in the field's own language, else in the template's first; fixed words come in the field's own
    language, else in each of the template's.
    """
    if field.when and not holds(field.when, facts):
        return ""
    separator = field.separator
    language = field.language or languages[0]
    shown = [text for text in (field_text(facts, name, language) for name in field.show) if text]
    if field.show and not shown:
        return ""
    in_front = composed(field.before)
    if field.words:
        spoken = languages if field.language is None else (field.language,)
        said = dict.fromkeys(composed(field.words[one]) for one in spoken)
        in_front = separator.join(said)
    return " ".join(part for part in (in_front, separator.join(shown)) if part)


def stands_alone(field: TextField) -> bool:
    """Whether a field shows the number on every mark, in one line and with nothing before it."""
    return field.show == ("number",) and field.lines == 1 and not (field.before.strip() or field.words or field.when)


def widest_number(
    field: TextField, numbers: Sequence[str], typeface: Typeface, *, template: LabelTemplate
) -> TextRun | None:
    """A number that is nowhere easier to set than any of these, its ink filling the whole box; None if one is too wide.

    It is as wide as the widest body and the widest check together, and rises and drops as far as any sign of any of
    them. Every one of ``numbers`` is set with letters at least as large, its ink inside the box.
    """
    bold, regular = typeface["bold"], typeface["regular"]
    signs = "".join(sorted(set().union(*numbers)))
    if bold.missing(signs) or regular.missing(signs):
        return None
    halves = [number.rpartition("-") for number in numbers]
    bodies, checks = [body for body, _, _ in halves], [hyphen + check for _, hyphen, check in halves]
    width = bold.widest_mm(bodies, 1.0) + CHECK_GAP_CAPS + regular.widest_mm(checks, 1.0)
    cap = largest_cap_mm(
        field.width_mm / width, field.height_mm / block_height_mm([signs], bold, 1.0), field.max_cap_mm
    )
    if cap < field.min_cap_mm:
        return None
    lettering = _lettering(field, numbers[0], template)
    run = lettering.run(numbers[0], bold, "bold", x=field.x_mm, baseline=field.y_mm + field.height_mm, cap=cap)
    return replace(run, width_mm=field.width_mm, rise_mm=field.height_mm, drop_mm=0.0)


def _line_start(box: TextField | ColourWord, width_mm: float, *, border_mm: float) -> float:
    left, right = box.x_mm + border_mm, box.x_mm + box.width_mm - border_mm
    return {"left": left, "centre": (left + right - width_mm) / 2, "right": right - width_mm}[box.align]


def _first_baseline(
    box: TextField | ColourWord, lines: tuple[str, ...], metrics: FontMetrics, cap: float, *, border_mm: float
) -> float:
    """Base line of the first line: set by the capitals, so that fields in a row line up, then pushed inside the box."""
    top, bottom = box.y_mm + border_mm, box.y_mm + box.height_mm - border_mm
    pitch = line_pitch_mm(lines, metrics, cap) * (len(lines) - 1)
    wanted = {
        "top": top + cap,
        "middle": (top + bottom + cap - pitch) / 2,
        "bottom": bottom - pitch,
    }[box.valign]
    highest = top + metrics.rise_mm(lines[0], cap)
    lowest = bottom - pitch - metrics.drop_mm(lines[-1], cap)
    return min(max(wanted, highest), lowest)


def _ground(runs: list[TextRun], per_mm: float) -> Block:
    """The black block round reversed letters, its edges on dots."""
    border = GROUND_BORDER_CAPS * runs[0].cap_height_mm
    extents = [run.extent for run in runs]
    box = Box(
        x_mm=max(0.0, min(extent.left for extent in extents) - border),
        y_mm=max(0.0, min(extent.top for extent in extents) - border),
        width_mm=max(extent.right for extent in extents) - min(extent.left for extent in extents) + 2 * border,
        height_mm=max(extent.bottom for extent in extents) - min(extent.top for extent in extents) + 2 * border,
    )
    return Block("ground", _snapped(box, per_mm), BLACK)


def _snapped(box: Box, per_mm: float) -> Extent:
    """The box with its edges on the nearest dots, at least one dot wide and high."""
    left, top = nearest_dot(box.x_mm, per_mm), nearest_dot(box.y_mm, per_mm)
    right = max(left + 1, nearest_dot(box.x_mm + box.width_mm, per_mm))
    bottom = max(top + 1, nearest_dot(box.y_mm + box.height_mm, per_mm))
    return Extent(left / per_mm, top / per_mm, right / per_mm, bottom / per_mm)


def _frame(extent: Extent, thickness_mm: float) -> list[Item]:
    """Four black lines just inside a rectangle."""
    left, top, right, bottom = extent.left, extent.top, extent.right, extent.bottom
    return [
        Block("frame", Extent(left, top, right, top + thickness_mm), BLACK),
        Block("frame", Extent(left, bottom - thickness_mm, right, bottom), BLACK),
        Block("frame", Extent(left, top, left + thickness_mm, bottom), BLACK),
        Block("frame", Extent(right - thickness_mm, top, right, bottom), BLACK),
    ]
