"""One part laid over another by their mounting holes, as SVG: the first filled, the second as a broken line over it.

Holes that agree are ringed and counted; the odd hole that would keep the two apart is a crossed ring with its words.
Nothing is said by colour alone: the two outlines differ in their lines, and each is named in the key above them.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from xml.sax.saxutils import escape

import shapely
from shapely import affinity

from service.outlines.drawing import Drawing
from service.outlines.hole_agreement import Motion
from service.outlines.hole_pattern import Hole, HolePattern
from service.outlines.odd_hole import OddHole
from service.outlines.paths import svg_path
from service.render.outline_svg import MARGIN_MM, OUTLINE_FILL, OUTLINE_LINE, document, number

SECOND_LINE = "#7a1230"
"""Dark red, in broken lines."""
RING_LINE = "#15211e"
SLIVER_MM = 0.3
"""Differences that are thinner are not shown: they come of flattening."""


def overlay_svg(
    first: Drawing,
    second: Drawing,
    *,
    names: tuple[str, str],
    holes: tuple[HolePattern, HolePattern],
    motion: Motion,
    odd: Sequence[tuple[int, OddHole]] = (),
) -> str:
    """The two parts over each other, at full size in mm.

    Args:
        first: the part that lies as drawn.
        second: the part that is moved over it.
        names: what the two are called.
        holes: their mounting holes.
        motion: what brings the second over the first.
        odd: the holes that would keep them apart, and which of the two gets each.
    """
    moved = affinity.affine_transform(second.material, motion.matrix)
    left, bottom, right, top = shapely.total_bounds([first.material, moved])
    size = max(3.0, 0.026 * max(right - left, top - bottom))
    line = 0.09 * size
    key_mm = (6.1 + 1.5 * len(odd)) * size
    content = (
        f'<path d="{svg_path(first.material)}" fill="{OUTLINE_FILL}" fill-rule="evenodd" stroke="{OUTLINE_LINE}" '
        f'stroke-width="{number(line)}" stroke-linejoin="round"/>'
        f'<path d="{svg_path(moved)}" fill="{SECOND_LINE}" fill-opacity="0.08" fill-rule="evenodd" '
        f'stroke="{SECOND_LINE}" stroke-width="{number(1.3 * line)}" '
        f'stroke-dasharray="{number(12 * line)} {number(6 * line)}" stroke-linejoin="round"/>'
    )
    alone = first.material.symmetric_difference(moved).buffer(-SLIVER_MM / 2).buffer(SLIVER_MM / 2)
    if not alone.is_empty:
        content += f'<path d="{svg_path(alone)}" fill="{SECOND_LINE}" fill-opacity="0.45" fill-rule="evenodd"/>'
    for _, here in motion.pairs:
        hole = holes[0].holes[here]
        content += (
            f'<circle cx="{number(hole.at.real)}" cy="{number(-hole.at.imag)}" '
            f'r="{number(hole.length_mm / 2 + 0.55 * size)}" fill="none" stroke="{RING_LINE}" '
            f'stroke-width="{number(1.6 * line)}"/>'
        )
    content += "".join(_odd(index, hole, motion, size, line) for index, hole in odd)
    agree = f"{len(motion.pairs)} mounting holes agree"
    odd_words = [
        f"{'moved' if hole.what == 'move' else 'added'} hole for {names[index]} (crossed)" for index, hole in odd
    ]
    alone_words = "one of them alone" if not alone.is_empty else "one of them alone: nowhere"
    broken = f'stroke-dasharray="{number(5 * line)} {number(3 * line)}"'
    ways = ["turned over"] if motion.over else []
    ways += [f"turned by {motion.turn_deg:.0f}°"] if 0.5 <= motion.turn_deg < 359.5 else []
    odd_words = [
        f"{'moved' if hole.what == 'move' else 'added'} hole for {names[index]} (crossed)" for index, hole in odd
    ]
    alone_words = "one of them alone" if not alone.is_empty else "one of them alone: nowhere"
    broken = f'stroke-dasharray="{number(5 * line)} {number(3 * line)}"'
    content += _key(
        [
            (f'stroke="{OUTLINE_LINE}" stroke-width="{number(2 * line)}"', names[0]),
            (
                f'stroke="{SECOND_LINE}" stroke-width="{number(2 * line)}" {broken}',
                ", ".join([names[1], *ways]),
            ),
            (f'stroke="{SECOND_LINE}" stroke-opacity="0.45" stroke-width="{number(0.9 * size)}"', alone_words),
            (f'stroke="{RING_LINE}"', f"{agree} (ringed)"),
            *((f'stroke="{RING_LINE}"', words) for words in odd_words),
        ],
        left=left,
        top=top + MARGIN_MM + key_mm,
        size=size,
    )
    longest = max(len(words) for words in (*names, *odd_words))
    wide = max(right - left, 0.6 * size * (longest + 16) + 5 * size)
    return document(
        content,
        left=left - MARGIN_MM,
        top=top + MARGIN_MM + key_mm + size,
        width=wide + 2 * MARGIN_MM,
        height=top - bottom + 2 * MARGIN_MM + key_mm + 2 * size,
        title=f"{names[1]} laid over {names[0]}: {agree}",
    )


def _odd(index: int, hole: OddHole, motion: Motion, size: float, line: float) -> str:
    spots = [hole.at] if hole.instead_of is None else [hole.at, hole.instead_of.at]
    placed = [motion.moved(spot) if index == 1 else spot for spot in spots]
    x, y, r = placed[0].real, -placed[0].imag, hole.width_mm / 2
    arm = r + 0.5 * size
    content = _opening(hole.hole, motion if index == 1 else None, line) + (
        f'<path d="M{number(x - arm)},{number(y)}H{number(x + arm)}M{number(x)},{number(y - arm)}V{number(y + arm)}" '
        f'stroke="{RING_LINE}" stroke-width="{number(1.4 * line)}" fill="none"/>'
    )
    if len(placed) == 2:
        u, v = placed[1].real, -placed[1].imag
        content += (
            f'<path d="M{number(u)},{number(v)}L{number(x)},{number(y)}" stroke="{RING_LINE}" '
            f'stroke-width="{number(line)}" stroke-dasharray="{number(2 * line)} {number(3 * line)}" fill="none"/>'
        )
    return content


def _opening(hole: Hole, motion: Motion | None, line: float) -> str:
    """A hole as it will be, round or a slot: a line as wide as the hole with a rim."""
    arm = cmath.rect((hole.length_mm - hole.width_mm) / 2, math.radians(hole.along_deg))
    ends = [hole.at - arm, hole.at + arm]
    (u, v), (x, y) = ((end.real, -end.imag) for end in (motion.moved(end) if motion else end for end in ends))
    path = f'd="M{number(u)},{number(v)}L{number(x)},{number(y)}" fill="none" stroke-linecap="round"'
    return (
        f'<path {path} stroke="{RING_LINE}" stroke-width="{number(hole.width_mm + 2 * line)}"/>'
        f'<path {path} stroke="#ffffff" stroke-width="{number(hole.width_mm - 2 * line)}"/>'
    )


def _key(rows: list[tuple[str, str]], *, left: float, top: float, size: float) -> str:
    content = ""
    for index, (line, words) in enumerate(rows):
        y = -top + (0.6 + 1.5 * index) * size
        if index < 3:
            content += (
                f'<path d="M{number(left)},{number(y - 0.3 * size)}H{number(left + 4 * size)}" fill="none" {line}/>'
            )
        elif index == 3:
            content += (
                f'<circle cx="{number(left + 2 * size)}" cy="{number(y - 0.3 * size)}" r="{number(0.5 * size)}" '
                f'fill="none" stroke-width="{number(0.14 * size)}" {line}/>'
            )
        else:
            middle, across = left + 2 * size, y - 0.3 * size
            content += (
                f'<path d="M{number(middle - 0.6 * size)},{number(across)}H{number(middle + 0.6 * size)}'
                f'M{number(middle)},{number(across - 0.6 * size)}V{number(across + 0.6 * size)}" fill="none" '
                f'stroke-width="{number(0.14 * size)}" {line}/>'
            )
        content += (
            f'<text x="{number(left + 5 * size)}" y="{number(y)}" font-family="sans-serif" '
            f'font-size="{number(1.15 * size)}" fill="{RING_LINE}">{escape(words)}</text>'
        )
    return content
