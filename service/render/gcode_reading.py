"""A program in RS-274 read as a control reads it, and proven against what it was to cut.

The reader takes nothing from the writer. It knows the words that a three-axis program without arcs and cycles needs
(RS-274/NGC, NIST IR 6556; modal groups as in its table 4), and refuses every other motion rather than guess.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray

from service.errors import ReadBackFailed
from service.marks.strokes import Point, Stroke

HAUSDORFF_MM = 0.01
"""Farthest that the cut path may lie from the strokes, either way."""
SAMPLE_MM = 0.5
"""How densely both are compared."""
ROUNDING_MM = 1e-3
"""Heights nearer than this are one: programs in inches are rounded."""

_COMMENT = re.compile(r"\([^)]*\)|;.*")
_WORD = re.compile(r"\s*([A-Z])\s*([+-]?(?:\d+\.?\d*|\.\d+))\s*")
_UNITS = {20.0: 25.4, 21.0: 1.0}
_MOTIONS = frozenset({0.0, 1.0})
_IGNORED_G = frozenset({4.0, 17.0, 40.0, 43.0, 49.0, 54.0, 55.0, 56.0, 57.0, 58.0, 59.0, 80.0, 94.0})


@dataclass(frozen=True, slots=True)
class Travel:
    """A straight move as the control makes it, in mm.

    Attributes:
        line: of the program, from 1.
        start: x, y, z.
        end: x, y, z.
        rapid: at the fastest travel, else cutting.
        feed_mm_per_min: 0 for a rapid.
        tool: the number last called.
        turning: whether the spindle turns.
    """

    line: int
    start: tuple[float, float, float]
    end: tuple[float, float, float]
    rapid: bool
    feed_mm_per_min: float
    tool: int | None
    turning: bool


@dataclass(slots=True)
class _Control:
    """What a control remembers from block to block."""

    scale: float | None = None
    absolute: bool = False
    motion: float | None = None
    feed: float = 0.0
    tool: int | None = None
    turning: bool = False
    ended: bool = False
    axes: dict[str, float] = field(default_factory=dict)


def travels(program: bytes, *, name: str) -> list[Travel]:
    """Every move of a program.

    Raises:
        ReadBackFailed: a word that the reader does not know, a move before units, absolute measure or height are
            said, a feed that is missing, or no end.
    """
    control = _Control()
    found: list[Travel] = []
    for number, line in enumerate(program.decode("ascii").splitlines(), start=1):
        text = _COMMENT.sub("", line).strip()
        if not text or text == "%":
            continue
        if control.ended:
            raise _fault("there are blocks behind the end of the program", name, number)
        travel = _block(control, list(_words(text, name, number)), name, number)
        if travel is not None:
            found.append(travel)
    if not control.ended or control.turning:
        raise _fault("the program does not end with the spindle off", name, None)
    return found


def cut_paths(moves: Sequence[Travel], *, top_mm: float, tools: frozenset[int]) -> list[Stroke]:
    """What some tools cut below the face of the sheet, as paths seen from above; a plunge without travel is a point."""
    paths: list[list[Point]] = []
    end: tuple[float, float, float] | None = None
    for move in moves:
        if move.rapid or move.tool not in tools or move.end[2] >= top_mm - ROUNDING_MM:
            end = None
            continue
        if end is None or end != move.start:
            paths.append([move.start[:2]])
        if move.end[:2] != paths[-1][-1]:
            paths[-1].append(move.end[:2])
        end = move.end
    return [tuple(path) for path in paths]


def prove_safe(moves: Sequence[Travel], *, top_mm: float, clearance_mm: float, bottom_mm: float, name: str) -> None:
    """Hold a program to the rules of safe travel.

    Args:
        moves: of the program.
        top_mm: height of the sheet's upper face.
        clearance_mm: over it; lower the tool only cuts.
        bottom_mm: height below which nothing may be.
        name: for messages.

    Raises:
        ReadBackFailed: a fast travel sideways or down below the clearance height, a cut with the spindle off, a cut
            without a feed, or a tool below the deepest cut.
    """
    for move in moves:
        lower = min(move.start[2], move.end[2])
        rises_only = move.start[:2] == move.end[:2] and move.end[2] > move.start[2]
        if move.rapid and lower < top_mm + clearance_mm - ROUNDING_MM and not rises_only:
            raise _fault("it travels fast below the clearance height", name, move.line)
        if not move.rapid and not move.turning:
            raise _fault("it cuts with the spindle off", name, move.line)
        if lower < bottom_mm - ROUNDING_MM:
            raise _fault(f"it goes to {lower:.3f} mm, below the deepest cut of {bottom_mm:.3f} mm", name, move.line)


def prove_path(read: Sequence[Stroke], planned: Sequence[Stroke], *, name: str, what: str) -> float:
    """Compare what is cut with what was planned; gives their Hausdorff distance in mm.

    Raises:
        ReadBackFailed: one lies farther from the other than ``HAUSDORFF_MM`` anywhere.
    """
    if not read and not planned:
        return 0.0
    if not read or not planned:
        raise _fault(f"{what}: {len(read)} paths are cut where {len(planned)} were planned", name, None)
    one, other = _pieces(read), _pieces(planned)
    off = max(_farthest(one, other), _farthest(other, one))
    if off > HAUSDORFF_MM:
        raise _fault(f"{what}: the path lies {off:.3f} mm from where it was planned", name, None)
    return off


def _pieces(strokes: Sequence[Stroke]) -> NDArray[np.float64]:
    """Straight pieces of paths as rows x0, y0, x1, y1; what several passes follow alike is there once."""
    rows = [
        (*start, *end) for stroke in strokes for start, end in (pairwise(stroke) if len(stroke) > 1 else [stroke * 2])
    ]
    return np.unique(np.round(np.array(rows, dtype=np.float64), 6), axis=0)


def _farthest(pieces: NDArray[np.float64], others: NDArray[np.float64]) -> float:
    """The distance of the point of some pieces that lies farthest from the others, sampled every ``SAMPLE_MM``."""
    start, end = pieces[:, :2], pieces[:, 2:]
    counts = np.maximum(1, np.ceil(np.hypot(*(end - start).T) / SAMPLE_MM)).astype(np.int64) + 1
    owner = np.repeat(np.arange(len(pieces)), counts)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (place / (counts - 1)[owner])[:, None]
    points = shapely.points(start[owner] + (end - start)[owner] * share)
    tree = shapely.STRtree(cast("NDArray[np.object_]", shapely.linestrings(others.reshape(-1, 2, 2))))
    _, distances = tree.query_nearest(points, return_distance=True, all_matches=False)
    return float(distances.max())


def _words(text: str, name: str, number: int) -> Iterator[tuple[str, float]]:
    at = 0
    while at < len(text):
        word = _WORD.match(text, at)
        if word is None:
            raise _fault(f"'{text[at:]}' is no word of a program", name, number)
        yield word[1], float(word[2])
        at = word.end()


def _block(control: _Control, words: Sequence[tuple[str, float]], name: str, number: int) -> Travel | None:
    target: dict[str, float] = {}
    dwells = False
    for letter, value in words:
        if letter == "G":
            dwells = dwells or value == 4.0
            _general(control, value, name, number)
        elif letter == "M":
            _miscellaneous(control, value, name, number)
        elif letter in "XYZ":
            target[letter] = value
        elif letter == "F":
            control.feed = value * _scale(control, name, number)
        elif letter == "T":
            control.tool = int(value)
        elif letter not in "NSHP":
            raise _fault(f"the word {letter} is not known here", name, number)
    if not target or dwells:
        return None
    scale = _scale(control, name, number)
    if not control.absolute or control.motion is None:
        raise _fault("it moves before G90 and a motion are said", name, number)
    start = dict(control.axes)
    control.axes.update({axis: value * scale for axis, value in target.items()})
    if len(start) < 3:
        # Until each axis was moved to once, nobody knows where the tool comes from: only upwards first, then across.
        if control.motion != 0.0 or ("Z" not in start and set(target) != {"Z"}):
            raise _fault("it moves sideways before it has risen to a height", name, number)
        if len(control.axes) < 3:
            return None
        start = {**control.axes, **start}
    if control.motion == 1.0 and control.feed <= 0:
        raise _fault("it cuts without a feed", name, number)
    return Travel(
        line=number,
        start=(start["X"], start["Y"], start["Z"]),
        end=(control.axes["X"], control.axes["Y"], control.axes["Z"]),
        rapid=control.motion == 0.0,
        feed_mm_per_min=control.feed if control.motion == 1.0 else 0.0,
        tool=control.tool,
        turning=control.turning,
    )


def _general(control: _Control, value: float, name: str, number: int) -> None:
    if value in _UNITS:
        control.scale = _UNITS[value]
    elif value == 90.0:
        control.absolute = True
    elif value in _MOTIONS:
        control.motion = value
    elif value not in _IGNORED_G:
        raise _fault(f"G{value:g} is not known here", name, number)


def _miscellaneous(control: _Control, value: float, name: str, number: int) -> None:
    if value in (3.0, 4.0):
        control.turning = True
    elif value == 5.0:
        control.turning = False
    elif value in (2.0, 30.0):
        control.ended = True
    elif value in (0.0, 1.0, 6.0):
        if control.turning:
            raise _fault("the tool is changed or the program stopped with the spindle turning", name, number)
    elif value not in (7.0, 8.0, 9.0):
        raise _fault(f"M{value:g} is not known here", name, number)


def _scale(control: _Control, name: str, number: int) -> float:
    if control.scale is None:
        raise _fault("a length stands before G20 or G21", name, number)
    return control.scale


def _fault(what: str, name: str, line: int | None) -> ReadBackFailed:
    return ReadBackFailed(
        what,
        field=name,
        value="the program",
        todo="Do not run it; keep the file and report the fault",
        place=f"{name}, line {line}" if line is not None else name,
    )
