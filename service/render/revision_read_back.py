"""The mark of the revision read back out of a finished cut file: its letter, its ring, and where they lie."""

from __future__ import annotations

import math

from service.errors import ReadBackFailed
from service.marks.revision_mark import RevisionMark
from service.marks.stroke_reading import read_strokes
from service.marks.strokes import Stroke
from service.render.dxf import REVISION_LAYER
from service.render.engraving_read_back import PLACE_TOLERANCE_MM, found_in_dxf


def prove_revision(data: bytes, mark: RevisionMark, *, name: str, mm_per_unit: float | None = None) -> None:
    """Read the mark out of a DXF and compare letter, ring and place.

    Args:
        data: a text DXF.
        mark: what was planned.
        name: the file's name, for messages.
        mm_per_unit: length of the drawing unit where the file itself names none.

    Raises:
        ReadBackFailed: another letter, another place, no ring round it, or no units.
    """
    strokes, _ = found_in_dxf(data, name=name, mm_per_unit=mm_per_unit, layer=REVISION_LAYER)
    rings = [stroke for stroke in strokes if _round(stroke, mark)]
    letter = [stroke for stroke in strokes if stroke not in rings]
    lines = _letter(letter, mark)
    if lines != [mark.letter] or len(rings) != 1:
        raise _fault(f"the mark of the revision reads '{' / '.join(lines)}' in {len(rings)} rings", mark, name)
    found = [point for stroke in strokes for point in stroke]
    planned = [point for stroke in mark.strokes for point in stroke]
    off = max((math.dist(a, b) for a, b in zip(found, planned, strict=False)), default=math.inf)
    if len(found) != len(planned) or off > PLACE_TOLERANCE_MM:
        raise _fault("the mark of the revision does not lie where it was planned", mark, name)


def _letter(strokes: list[Stroke], mark: RevisionMark) -> list[str]:
    """What the strokes inside the ring say; a dash alone stands on no base line, and is told by its lying level."""
    if not strokes:
        return []
    turn = math.radians(mark.angle_deg)
    heights = [y * math.cos(turn) - x * math.sin(turn) for stroke in strokes for x, y in stroke]
    if len(strokes) == 1 and max(heights) - min(heights) <= PLACE_TOLERANCE_MM:
        return ["-"]
    return read_strokes(strokes, mark.cap_height_mm, angle_deg=mark.angle_deg)


def _round(stroke: Stroke, mark: RevisionMark) -> bool:
    return stroke[0] == stroke[-1] and all(
        abs(math.dist(point, mark.centre) - mark.radius_mm) <= PLACE_TOLERANCE_MM for point in stroke
    )


def _fault(what: str, mark: RevisionMark, name: str) -> ReadBackFailed:
    return ReadBackFailed(what, field=name, value=mark.letter, todo="Do not cut it; keep the file and report the fault")
