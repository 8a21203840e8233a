"""The engraving cutter that was asked for: its kind, and the measures that are not the usual ones of that kind."""

from __future__ import annotations

from dataclasses import replace

from service.errors import BadRequest
from service.marks.cutters import USUAL_CUTTER, Cutter, CutterKind

USUAL: dict[CutterKind, Cutter] = {
    "flat": USUAL_CUTTER,
    "vee": Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.4, angle_deg=60.0, tip_mm=0.1),
    "ball": Cutter(kind="ball", diameter_mm=1.0, depth_mm=0.3),
}
"""What is taken of each kind unless it is said (common practice, no source)."""


def chosen_cutter(
    kind: str | None = None,
    *,
    diameter_mm: float | None = None,
    depth_mm: float | None = None,
    angle_deg: float | None = None,
    tip_mm: float | None = None,
) -> Cutter:
    """The cutter with these measures; the usual straight one when nothing is said.

    Raises:
        BadRequest: no such kind, or a measure that this kind of cutter cannot have.
    """
    for known, usual in USUAL.items():
        if known == (kind or "flat"):
            return replace(
                usual,
                diameter_mm=usual.diameter_mm if diameter_mm is None else diameter_mm,
                depth_mm=usual.depth_mm if depth_mm is None else depth_mm,
                angle_deg=usual.angle_deg if angle_deg is None else angle_deg,
                tip_mm=usual.tip_mm if tip_mm is None else tip_mm,
            )
    raise BadRequest("no such kind of cutter", field="cutter", value=kind, todo=f"Name one of {', '.join(USUAL)}")
