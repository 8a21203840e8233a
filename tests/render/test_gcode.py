"""Programs for routers: what they cut, read by two readers, and what a reader refuses."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Sequence

import pytest
import shapely
from gcodeparser import parse_gcode_lines
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas.router import Router, RouterTool
from service.errors import ReadBackFailed
from service.marks.strokes import Stroke
from service.marks.toolpath import Operation, cut_out, drill, engrave, run_time_s
from service.outlines.profile import profile_of
from service.render.gcode import MM_PER_INCH, gcode
from service.render.gcode_reading import HAUSDORFF_MM, cut_paths, prove_path, prove_safe, travels
from tests.part_factory import make_drawing
from tests.router_factory import NAMES, make_engraving, make_router

THICKNESS_MM = 25.0


def tool_for(router: Router, use: str) -> RouterTool:
    return next(tool for tool in router.tools if tool.use == use)


def top_of(router: Router) -> float:
    return THICKNESS_MM if router.z_zero == "table" else 0.0


def whole(router: Router) -> tuple[list[Operation], list[Stroke], list[Stroke]]:
    """Text, then the profile of a plate with a hole, and the paths of both."""
    strokes = list(make_engraving().strokes)
    cutter = tool_for(router, "profile")
    profile = profile_of(make_drawing(), cutter.diameter_mm)
    rings = [*profile.holes, *profile.outsides]
    return (
        [
            engrave(strokes, tool_for(router, "engrave"), router, words="number"),
            cut_out(profile.holes, cutter, router, thickness_mm=THICKNESS_MM, bridges=False, words="holes"),
            cut_out(profile.outsides, cutter, router, thickness_mm=THICKNESS_MM, bridges=True, words="outside"),
        ],
        strokes,
        rings,
    )


def written(operations: Sequence[Operation], router: Router) -> bytes:
    return gcode(operations, router, remarks=["OSV4-FC1-A500-SW2-U3-42 (rev B) 25 °C"], thickness_mm=THICKNESS_MM)


def by_another_reader(program: bytes, router: Router, tool: int) -> list[Stroke]:
    """What a tool cuts below the face, as the library gcodeparser gives the words back."""
    scale = 1.0 if router.units == "mm" else MM_PER_INCH
    at = {"X": 0.0, "Y": 0.0, "Z": math.inf}
    motion, current = 0, None
    paths: list[list[tuple[float, float]]] = []
    # The library knows no words without a command in front: the motion that holds is written into each block first.
    text = re.sub(r"^N\d+ ", "", program.decode(), flags=re.MULTILINE)
    lines, last = [], "G0"
    for line in text.splitlines():
        found = re.match(r"G[01] ", line)
        last = found[0].strip() if found else last
        lines.append(f"{last} {line}" if line[:1] in "XYZ" else line)
    for block in parse_gcode_lines("\n".join(lines)):
        if block.command[0] == "T":
            current = int(block.command[1])
        if block.command[0] != "G" or block.command[1] not in (0, 1):
            continue
        motion = int(block.command[1])
        before = dict(at)
        at.update({axis: value * scale for axis, value in block.params.items() if axis in at})
        if current != tool or motion == 0 or at["Z"] >= top_of(router) - 1e-3:
            continue
        if before["Z"] >= top_of(router) - 1e-3 or not paths:
            paths.append([(before["X"], before["Y"])])
        if (at["X"], at["Y"]) != paths[-1][-1]:
            paths[-1].append((at["X"], at["Y"]))
    return [tuple(path) for path in paths]


@pytest.mark.parametrize("name", NAMES)
def test_what_is_cut_is_what_was_planned_by_two_readers(name: str) -> None:
    router = make_router(name)
    operations, strokes, rings = whole(router)
    program = written(operations, router)
    moves = travels(program, name=name)
    for use, planned in (("engrave", strokes), ("profile", rings)):
        number = tool_for(router, use).number
        read = cut_paths(moves, top_mm=top_of(router), tools=frozenset({number}))
        assert prove_path(read, planned, name=name, what=use) < HAUSDORFF_MM
        other = by_another_reader(program, router, number)
        lines = [shapely.MultiLineString([path for path in paths if len(path) > 1]) for paths in (other, planned)]
        assert shapely.hausdorff_distance(lines[0], lines[1], densify=0.1) < HAUSDORFF_MM
    tools = tool_for(router, "profile")
    prove_safe(
        moves,
        top_mm=top_of(router),
        clearance_mm=router.clearance_mm,
        bottom_mm=top_of(router) - THICKNESS_MM - tools.depth_mm,
        name=name,
    )


@pytest.mark.parametrize("name", NAMES)
def test_engraving_comes_before_the_profile_and_the_outside_last(name: str) -> None:
    router = make_router(name)
    program = written(whole(router)[0], router)
    moves = [move for move in travels(program, name=name) if not move.rapid]
    tools = [move.tool for move in moves]
    first_profile = tools.index(tool_for(router, "profile").number)
    assert set(tools[:first_profile]) == {tool_for(router, "engrave").number}
    assert set(tools[first_profile:]) == {tool_for(router, "profile").number}
    # The outside contour of the plate of 200 by 90 mm is cut last, when nothing is left to do in the bore at (30, 45).
    in_bore = [math.dist(move.end[:2], (30, 45)) < 12 for move in moves]
    outside = [not (0 <= move.end[0] <= 200 and 0 <= move.end[1] <= 90) for move in moves]
    assert len(moves) - in_bore[::-1].index(True) - 1 < outside.index(True)


def test_a_program_says_its_modes_before_it_moves() -> None:
    # RS-274/NGC (NIST IR 6556, from memory): G21 mm, G90 absolute, G17 XY plane, G94 feed a minute; ends with M5, M30.
    lines = written(whole(make_router())[0], make_router()).decode().splitlines()
    assert lines[0] == lines[-1] == "%"
    assert lines[1] == "(OSV4-FC1-A500-SW2-U3-42 rev B 25 degC)"
    assert lines[2:5] == ["G21 G90 G17 G94", "G40 G49 G80", "G54"]
    assert lines[-3:-1] == ["M5", "M30"]
    first_z = next(line for line in lines if "Z" in line)
    assert first_z == "G0 Z15.000"


def test_bridges_stand_at_the_foot_of_the_outside_alone() -> None:
    router = make_router()
    operations, _, _ = whole(router)
    foot = -(THICKNESS_MM - router.bridge_height_mm)
    bottom = -(THICKNESS_MM + tool_for(router, "profile").depth_mm)
    holes, outside = operations[1], operations[2]
    assert foot not in {move.z for move in holes.moves}
    at_bottom = [move.z for move in outside.moves if move.z <= foot + 1e-9]
    ups = sum(1 for a, b in itertools.pairwise(at_bottom) if a == bottom and b == foot)
    assert ups == router.bridges


def test_dots_are_one_plunge_each_and_rows_are_walked_forth_and_back() -> None:
    router = make_router()
    dots = [(float(x), float(y)) for y in (0, 1) for x in (0, 1, 2)]
    operation = drill(dots, tool_for(router, "engrave"), router, words="dots")
    program = gcode([operation], router, remarks=[], thickness_mm=THICKNESS_MM)
    read = cut_paths(travels(program, name="dots"), top_mm=0.0, tools=frozenset({1}))
    assert [path[0] for path in read] == [(0, 0), (1, 0), (2, 0), (2, 1), (1, 1), (0, 1)]
    assert prove_path(read, [(dot,) for dot in dots], name="dots", what="dots") == 0.0


def test_the_estimate_counts_travel_with_its_acceleration() -> None:
    # Handbook kinematics: s = v t - v²/a for a trapezoid from rest to rest; 100 mm at 15 mm/s and 500 mm/s² take
    # 100/15 + 15/500 s.
    router = make_router()
    tool = tool_for(router, "engrave")
    operation = engrave([((0.0, 0.0), (100.0, 0.0))], tool, router, words="line")
    speed, acceleration = tool.feed_mm_per_min / 60, router.acceleration_mm_per_s2
    plunge = (router.clearance_mm + tool.depth_mm, tool.plunge_mm_per_min / 60)
    rapids = [router.safe_height_mm - router.clearance_mm, router.clearance_mm + tool.depth_mm]
    rapid = router.rapid_mm_per_min / 60
    expected = 100 / speed + speed / acceleration + plunge[0] / plunge[1] + plunge[1] / acceleration
    for length in rapids:
        assert length * acceleration < rapid**2, "too short to reach full speed"
        expected += 2 * math.sqrt(length / acceleration)
    expected += router.tool_change_s + router.spindle_up_s
    assert run_time_s([operation], router) == pytest.approx(expected)


@given(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=2, max_size=12), st.sampled_from(NAMES))
@settings(max_examples=60)
def test_any_stroke_is_cut_where_it_lies(points: list[tuple[float, float]], name: str) -> None:
    router = make_router(name)
    tool = tool_for(router, "engrave")
    strokes = [tuple(points)]
    program = gcode(
        [engrave(strokes, tool, router, words="any")], router, remarks=[], zero=(3.5, -7.25), thickness_mm=THICKNESS_MM
    )
    read = cut_paths(travels(program, name=name), top_mm=top_of(router), tools=frozenset({tool.number}))
    moved = [tuple((x - 3.5, y + 7.25) for x, y in points)]
    prove_path(read, moved, name=name, what="any")


GOOD = "G21 G90 G17 G94\nT1 M6\nS9000 M3\nG0 Z15\nG0 X0 Y0\nG0 Z2\nG1 Z-0.4 F300\nG1 X10 F900\nG0 Z15\nM5\nM30\n"


def proven(text: str) -> None:
    moves = travels(text.encode(), name="test.nc")
    prove_safe(moves, top_mm=0.0, clearance_mm=2.0, bottom_mm=-0.4, name="test.nc")
    read = cut_paths(moves, top_mm=0.0, tools=frozenset({1}))
    prove_path(read, [((0.0, 0.0), (10.0, 0.0))], name="test.nc", what="text")


def test_the_good_program_of_the_refusals_is_good() -> None:
    proven(GOOD)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("X10 F900", "X10.02 F900", "0.020 mm from where"),
        ("X10 F900", "X-10 F900", "10.000 mm from where"),
        ("G1 X10 F900\n", "", "mm from where"),
        ("G1 Z-0.4 F300\n", "", "0 paths are cut"),
        ("G0 X0 Y0\nG0 Z2\n", "G0 X0 Y0\nG0 Z1\n", "fast below the clearance"),
        ("G0 Z15\nM5", "G0 X0\nM5", "fast below the clearance"),
        ("S9000 M3\n", "", "spindle off"),
        (" F300", "", "without a feed"),
        ("Z-0.4", "Z-4", "below the deepest cut"),
        ("G21 ", "", "before G20 or G21"),
        ("G90 ", "", "before G90"),
        ("G0 Z15\nG0 X0 Y0", "G0 X0 Y0\nG0 Z15", "sideways before it has risen"),
        ("G1 X10", "G2 X10", "G2 is not known"),
        ("G1 X10", "G1 X10 A3", "the word A"),
        ("G1 X10", "G1 X1O", "no word"),
        ("M5\nM30", "M30", "does not end with the spindle off"),
        ("M30\n", "", "does not end"),
        ("M30\n", "M30\nG0 X5\n", "behind the end"),
        ("G0 Z15\nM5", "G0 Z15\nT2 M6\nM5", "spindle turning"),
        ("M5\n", "M5\nM48\n", "M48 is not known"),
    ],
)
def test_a_wrong_program_is_refused(old: str, new: str, words: str) -> None:
    assert old in GOOD
    with pytest.raises(ReadBackFailed) as refusal:
        proven(GOOD.replace(old, new))
    assert words in refusal.value.what
