"""What is wrong with the grooves of a finished engraving, by the names of the lint's rules.

Works from bare geometry in mm, wherever it was read: polylines and circles of a DXF, paths of an SVG, moves of a
program.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from service.findings import Finding
from service.marks.engraved import Engraving
from service.marks.strokes import Point, Stroke, glyph
from service.render.engraving_picture import (
    LETTER_WAYS,
    PIXELS,
    UNREADABLE,
    Picture,
    PictureText,
    Way,
    over_each_other,
    picture,
    read,
    spread,
)

DOT_PIXELS = 12
"""Pixels from one dot to the next."""
DOT_BLUR = 0.3
"""How far the picture of dots is blurred, in pitches: readers of drilled marks soften a picture until dots join."""
DOT_TOLERANCE = 0.1
"""How far a dot may lie from its place, in pitches."""
SOURCE = "the finished file, read as a picture"

_DONT = "Do not cut it; keep the file and report the fault"
_MIRRORED: tuple[Way, ...] = ("mirrored", "upside down")
_TURNED: tuple[Way, ...] = ("turned", "on its left side", "on its right side")
_DATA_MATRIX = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.DataMatrix])


def groove_findings(strokes: Sequence[Stroke], engraving: Engraving) -> list[Finding]:
    """What is wrong with the grooves along strokes.

    Args:
        strokes: paths of the cutter below the surface, in mm on the part; of drilled dots there are none.
        engraving: what was planned.

    Returns:
        Nothing, or one finding: ``engraving_mirrored``, ``engraving_turned``, ``engraving_clipped`` or
        ``engraving_wrong_text``.
    """
    if engraving.dots:
        stray = f"{len(strokes)} strokes are cut where only dots should be drilled"
        return [_finding("engraving_wrong_text", engraving, stray)] if strokes else []
    expected = PictureText(lines=engraving.lines, base_line=engraving.base_line)
    shown = _picture(strokes, engraving)
    if shown is None:
        return [_finding("engraving_wrong_text", engraving, "the grooves reach far beyond any text of a segment")]
    if not shown.ink.any():
        return [_finding("engraving_clipped", engraving, "no groove is cut at all")]
    found = read(shown)
    if found == expected:
        return []
    if _lies(shown, _MIRRORED, expected):
        return [_finding("engraving_mirrored", engraving, "the text is mirrored")]
    if _lies(shown, _TURNED, expected):
        return [_finding("engraving_turned", engraving, "the text is turned out of its reading direction")]
    missing = _missing(shown, engraving)
    if missing and (found.lines == expected.lines or not _all_letters(found, expected)):
        return [_finding("engraving_clipped", engraving, f"parts of {missing} are missing")]
    rule_words = " over a base line" if found.base_line else ""
    return [_finding("engraving_wrong_text", engraving, f"the grooves read '{' / '.join(found.lines)}'{rule_words}")]


def dot_findings(dots: Sequence[Point], engraving: Engraving) -> list[Finding]:
    """What is wrong with drilled dots: each has its place, and an independent decoder reads the key from them.

    Args:
        dots: centres in mm on the part.
        engraving: what was planned.
    """
    if not engraving.dots:
        return (
            [_finding("engraving_wrong_text", engraving, f"{len(dots)} dots are drilled into a text")] if dots else []
        )
    key = "".join(engraving.lines).replace("-", "")
    found = _decoded(dots, engraving)
    missing, strangers = (
        _away(these, those, engraving.dot_pitch_mm) for these, those in ((engraving.dots, dots), (dots, engraving.dots))
    )
    if found == key and not missing and not strangers:
        return []
    if not strangers and missing:
        return [_finding("engraving_clipped", engraving, f"{missing} of {len(engraving.dots)} dots are missing")]
    # A decoder may read a mirrored symbol; a reader in the field need not.
    if not _away(_over(dots, engraving, (-1, 1)), engraving.dots, engraving.dot_pitch_mm):
        return [_finding("engraving_mirrored", engraving, "the dots are mirrored")]
    if not _away(_over(dots, engraving, (-1, -1)), engraving.dots, engraving.dot_pitch_mm):
        return [_finding("engraving_turned", engraving, "the dots are turned")]
    says = f"the dots read '{found}'" if found else "the dots do not read"
    return [_finding("engraving_wrong_text", engraving, f"{says}, and {strangers} lie where none should be")]


def path_findings(paths: Sequence[Stroke], engraving: Engraving) -> list[Finding]:
    """What is wrong with a text among the paths of a cutter that may engrave other things elsewhere on the part.

    Args:
        paths: where the cutter is below the surface, in mm on the part; one that is a point is a dot. What lies in the
            block of the engraving, or reaches into it, is taken for the text.
        engraving: what was planned.
    """
    turn = -math.radians(engraving.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    (x0, y0), reach = engraving.origin, engraving.cutter.groove_mm

    def inside(x: float, y: float) -> bool:
        along, across = (x - x0) * cos - (y - y0) * sin, (x - x0) * sin + (y - y0) * cos
        return -reach <= along <= engraving.width_mm + reach and -reach <= across <= engraving.height_mm + reach

    own = [path for path in paths if any(inside(x, y) for x, y in path)]
    points = sorted({path[0] for path in own if len(set(path)) == 1})
    strokes = [path for path in own if len(set(path)) > 1]
    return [*dot_findings(points, engraving), *groove_findings(strokes, engraving)]


def dot_picture(dots: Sequence[Point], *, diameter_mm: float, pitch_mm: float, blur: float = DOT_BLUR) -> Image.Image:
    """Dark dots on light plastic, with two pitches of plastic round them, softened by ``blur`` pitches."""
    scale = DOT_PIXELS / pitch_mm
    left, top = min(x for x, _ in dots) - 2.5 * pitch_mm, max(y for _, y in dots) + 2.5 * pitch_mm
    right, bottom = max(x for x, _ in dots) + 2.5 * pitch_mm, min(y for _, y in dots) - 2.5 * pitch_mm
    finer = 4
    size = math.ceil((right - left) * scale), math.ceil((top - bottom) * scale)
    image = Image.new("L", (size[0] * finer, size[1] * finer), 225)
    draw = ImageDraw.Draw(image)
    radius = diameter_mm / 2 * scale * finer
    for x, y in dots:
        across, down = (x - left) * scale * finer, (top - y) * scale * finer
        draw.ellipse((across - radius, down - radius, across + radius, down + radius), fill=70)
    return image.resize(size, Image.Resampling.BOX).filter(ImageFilter.GaussianBlur(blur * DOT_PIXELS))


def _decoded(dots: Sequence[Point], engraving: Engraving) -> str:
    """The text of drilled dots as an independent decoder reads it; empty where it reads none."""
    if not dots or _sprawls(dots, engraving):
        return ""
    turn = math.radians(-engraving.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    upright = [(x * cos - y * sin, x * sin + y * cos) for x, y in dots]
    image = dot_picture(upright, diameter_mm=engraving.dot_diameter_mm, pitch_mm=engraving.dot_pitch_mm)
    found = zxingcpp.read_barcodes(np.asarray(image), formats=_DATA_MATRIX)
    return found[0].text if found else ""


def _over(dots: Sequence[Point], engraving: Engraving, over: tuple[int, int]) -> list[Point]:
    """Dots turned over within their block, along and across it."""
    turn = math.radians(engraving.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    half_width, half_height = engraving.width_mm / 2, engraving.height_mm / 2
    cx = engraving.origin[0] + half_width * cos - half_height * sin
    cy = engraving.origin[1] + half_width * sin + half_height * cos
    turned: list[Point] = []
    for x, y in dots:
        along = ((x - cx) * cos + (y - cy) * sin) * over[0]
        across = ((y - cy) * cos - (x - cx) * sin) * over[1]
        turned.append((cx + along * cos - across * sin, cy + along * sin + across * cos))
    return turned


def _sprawls(dots: Sequence[Point], engraving: Engraving) -> bool:
    """Whether dots reach so far that they are no symbol of a segment."""
    xs, ys = [x for x, _ in dots], [y for _, y in dots]
    return max(max(xs) - min(xs), max(ys) - min(ys)) > 4 * max(engraving.width_mm, engraving.height_mm)


def _away(these: Sequence[Point], those: Sequence[Point], pitch_mm: float) -> int:
    """How many of these have none of those in their place."""
    if not those:
        return len(these)
    there = np.asarray(those)
    near = DOT_TOLERANCE * pitch_mm
    return sum(bool(np.hypot(*(there - one).T).min() > near) for one in these)


def _picture(strokes: Sequence[Stroke], engraving: Engraving) -> Picture | None:
    return picture(
        strokes,
        groove_mm=engraving.cutter.groove_mm,
        cap_height_mm=engraving.cap_height_mm,
        origin=engraving.origin,
        angle_deg=engraving.angle_deg,
    )


def _lies(shown: Picture, ways: Sequence[Way], expected: PictureText) -> bool:
    """Whether the text lies in one of these ways, as a whole or letter by letter."""
    one_by_one = [way for way in ways if way in LETTER_WAYS]
    readings = [*(read(shown, way) for way in ways), *(read(shown, letters=way) for way in one_by_one)]
    return any(_says(reading, expected) for reading in readings)


def _says(found: PictureText, expected: PictureText) -> bool:
    """Whether a picture that lies otherwise has the text; the base line may lie above it then, and be no base line."""
    return found.lines == expected.lines or tuple(reversed(found.lines)) == expected.lines


def _all_letters(found: PictureText, expected: PictureText) -> bool:
    """Whether as many letters are read as there should be, and every one of them: then it is another text."""
    lengths = [[len(line) for line in text.lines] for text in (found, expected)]
    return lengths[0] == lengths[1] and UNREADABLE not in "".join(found.lines)


def _missing(shown: Picture, engraving: Engraving) -> str:
    """The letters of which something is missing, where the grooves show nothing that was not planned; else nothing."""
    planned = _picture(engraving.strokes, engraving)
    if planned is None:
        return ""
    ink, whole = over_each_other(shown, planned)
    if (ink & ~spread(whole)).any():
        return ""
    gone = whole & ~spread(ink)
    low = min(shown.corner[1], planned.corner[1])
    left = min(shown.corner[0], planned.corner[0])
    names: list[str] = []
    for letter in engraving.letters:
        drawn = glyph(letter.char)
        start = (letter.x / engraving.cap_height_mm - left) * PIXELS
        foot = gone.shape[0] - (letter.y / engraving.cap_height_mm - low) * PIXELS
        rows = slice(max(0, round(foot - drawn.top * PIXELS)), max(0, round(foot - drawn.bottom * PIXELS)) + 1)
        if gone[rows, max(0, round(start)) : round(start + drawn.width * PIXELS) + 1].any():
            names.append(letter.char)
    return " ".join(names) or "the base line"


def _finding(rule: str, engraving: Engraving, message: str) -> Finding:
    return Finding(
        rule=rule,
        level="error",
        message=message,
        field="engraving",
        value=engraving.text,
        todo=_DONT,
        source=SOURCE,
    )
