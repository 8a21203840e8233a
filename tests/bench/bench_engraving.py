"""Engravings a second: ladder, layout, lint and sweep beside the layout of the same texts alone.

Planning takes only what passes the lint of letters and walls, so that its time holds that lint.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from random import Random

from service.marks.engraving import Engraving, plan_engraving
from service.marks.engraving_lint import lint_engraving
from service.marks.strokes import LINE_SPACING, Stroke, set_line
from service.marks.sweep import sweep, swept_glyph
from service.numbering.key import Key
from service.numbering.number import KitNumber, Number, Place
from service.outlines.room import Rectangle
from service.render.engraving_match import groove_findings
from tests.bench.rounds import Comparison, Contestant

TEXTS = 300


@contextmanager
def comparisons(*, texts: int = TEXTS) -> Iterator[list[Comparison]]:
    """The texts of one kit, each in a free area of its own."""
    marks = [_mark(index) for index in range(texts)]
    planned = [_plan(*mark) for mark in marks]
    yield [
        Comparison(
            title=f"{texts} engravings planned, linted and swept (0.5 of the yardstick's speed)",
            unit="engraving",
            yardstick=Contestant(
                name="the chosen text laid out and put in place, letters at hand",
                run=lambda: [_laid_out(engraving) for engraving in planned],
                count=texts,
            ),
            others=[
                Contestant(name="ladder, layout, lint and sweep", run=lambda: _all(marks), count=texts),
                Contestant(
                    name="ladder, layout and lint alone", run=lambda: [_plan(*mark) for mark in marks], count=texts
                ),
                Contestant(name="sweep alone", run=lambda: [sweep(engraving) for engraving in planned], count=texts),
                Contestant(
                    name="every rule of the lint once more, for its words",
                    run=lambda: [lint_engraving(one) for one in planned],
                    count=texts,
                ),
                Contestant(
                    name="read back as a picture",
                    run=lambda: [groove_findings(one.strokes, one) for one in planned],
                    count=texts,
                ),
                Contestant(name="letters swept afresh for each", run=lambda: _afresh(planned), count=texts),
            ],
            goals={"ladder, layout, lint and sweep": 2.0},
        )
    ]


def _mark(index: int) -> tuple[str, str, Callable[[float], Rectangle | None]]:
    """A number, a key, and a free area that has room for the number in two lines at one of several heights."""
    place = Place("SW", 1 + index // 50, "LMUK"[index % 4], 1 + index % 50)
    number = Number(KitNumber("OSV", 4, "FC", 1, "A", 500), place)
    width, height = 50.0 + 20 * (index % 8), 11.0 + 5 * (index % 7)

    def room(aspect: float) -> Rectangle:
        wide = min(width, height * aspect)
        return Rectangle(centre=(100.0, 50.0), width_mm=wide, height_mm=wide / aspect, angle_deg=15.0 * (index % 12))

    return str(number), str(Key.random(Random(index))), room


def _plan(number: str, key: str, room: Callable[[float], Rectangle | None]) -> Engraving:
    return plan_engraving(number=number, key=key, room=room)


def _all(marks: Sequence[tuple[str, str, Callable[[float], Rectangle | None]]]) -> None:
    for mark in marks:
        sweep(_plan(*mark))


def _laid_out(engraving: Engraving) -> list[Stroke]:
    """What anybody would write first: lines set under each other, turned and moved; no choice, no cutter."""
    height = engraving.cap_height_mm
    turn = math.radians(engraving.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x0, y0 = engraving.origin
    strokes: list[Stroke] = []
    for row, text in enumerate(engraving.lines):
        foot = (len(engraving.lines) - 1 - row) * LINE_SPACING * height
        for stroke in set_line(text, height).strokes:
            strokes.append(
                tuple([(x0 + x * cos - (y + foot) * sin, y0 + x * sin + (y + foot) * cos) for x, y in stroke])
            )
    return strokes


def _afresh(planned: Sequence[Engraving]) -> None:
    for engraving in planned:
        swept_glyph.cache_clear()
        sweep(engraving)
