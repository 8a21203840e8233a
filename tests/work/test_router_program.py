"""Programs for routers over the demonstration: every segment, what the remarks say, and what is refused."""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from shapely.geometry import LineString

from service.errors import (
    CutFileAltered,
    LintFailed,
    RevisionWithdrawn,
    RouterUnknown,
)
from service.outlines.stored import from_bytes
from service.render.gcode_reading import cut_paths, travels
from service.store import cutfiles, events
from service.work.router_program import list_routers, program_segment
from service.work.show_kit import show_kit
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.demo_data import copied, open_workshop

NUMBER = "OSV4-FC1-A500-SW2-U3-42"
CUT_FILE, AS_BUILT = "osv4-fc1-a500-sw2-u3.dxf", "A"


@pytest.fixture
def demo(demo_folder: Path, tmp_path: Path) -> Iterator[Workshop]:
    """The demonstration, to write to."""
    opened = open_workshop(copied(demo_folder, tmp_path / "data"))
    yield opened
    opened.exact.close()
    opened.database.close()


def test_every_segment_of_an_assembly_gets_its_program(demo: Workshop) -> None:
    segments = [segment for segment in show_kit(demo, "OSV4-FC1-A500").segments if segment.place.startswith("SW1")]
    assert len(segments) == 4
    for segment in segments:
        program = program_segment(demo, segment.number, tool=2, profile=True)
        assert segment.number in program.data.decode()
        assert program.name == f"{segment.number}.nc"


def test_with_the_profile_the_letter_is_cut_apart_from_the_number_and_inside_the_part(demo: Workshop) -> None:
    program = program_segment(demo, NUMBER, profile=True, zero="drawing")
    text = program.data.decode()
    with demo.database.read() as connection:
        row = cutfiles.find_revision(connection, CUT_FILE, AS_BUILT)
        assert row is not None
        drawing = from_bytes(cutfiles.drawing_bytes(connection, [row.id])[row.id])
    assert f"{CUT_FILE} rev {AS_BUILT}  SHA-256 {row.sha256[:16]}" in text
    assert text.index("(text: ") < text.index(f"(revision {AS_BUILT})") < text.index("(outside contour)")
    moves = travels(program.data, name="program")
    engraved = cut_paths(moves, top_mm=0.0, tools=frozenset({1}))
    assert all(drawing.material.covers(LineString(path)) for path in engraved if len(path) > 1)
    # What the profile cutter takes away leaves the part whole: its middle keeps its radius from the material.
    profile = cut_paths(moves, top_mm=0.0, tools=frozenset({10}))
    for path in profile:
        if len(path) > 1:
            assert LineString(path).distance(drawing.material) == pytest.approx(3.0, abs=0.02)


def test_without_the_profile_no_letter_is_cut(demo: Workshop) -> None:
    text = program_segment(demo, NUMBER).data.decode()
    assert "(revision" not in text
    assert "contour" not in text
    assert "T10" not in text


def test_zero_at_the_corner_moves_everything_by_the_corner_of_the_part(demo: Workshop) -> None:
    read = {}
    for zero in ("corner", "drawing"):
        program = program_segment(demo, NUMBER, zero=zero)
        read[zero] = cut_paths(travels(program.data, name=zero), top_mm=0.0, tools=frozenset({1}))
    first, second = (read[zero][0][0] for zero in ("corner", "drawing"))
    shift = (second[0] - first[0], second[1] - first[1])
    with demo.database.read() as connection:
        row = cutfiles.find_revision(connection, CUT_FILE, AS_BUILT)
        assert row is not None
        drawing = from_bytes(cutfiles.drawing_bytes(connection, [row.id])[row.id])
    assert shift == pytest.approx(drawing.bounds_mm[:2], abs=0.002)


def test_the_remarks_say_what_is_cut_where_zero_lies_and_how_long_it_runs(demo: Workshop) -> None:
    text = program_segment(demo, NUMBER, router="inch-single-spindle").data.decode()
    assert "; X0 Y0 is the lower left corner of the part's box, Z0 the table under the sheet" in text
    assert "; UHMW-PE 25 mm" in text
    assert re.search(r"; run time about \d+ min \d\d s", text)
    assert "does not authorise work" in text


def test_a_program_is_a_mark_on_record(demo: Workshop) -> None:
    program_segment(demo, NUMBER)
    with demo.database.read() as connection:
        last = events.events_of(connection, NUMBER)[-2:]
    assert [(event.verb, json.loads(event.after or "{}")["state"]) for event in last] == [
        ("engrave", "intended"),
        ("engrave", "made"),
    ]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"router": "none"}, "no router of this name"),
        ({"tool": 77}, "no tool 77 that engraves"),
        ({"tool": 10}, "no tool 10 that engraves"),
    ],
)
def test_what_the_shop_does_not_have_is_named(demo: Workshop, asked: dict[str, object], words: str) -> None:
    with pytest.raises(RouterUnknown) as refusal:
        program_segment(demo, NUMBER, **asked)  # type: ignore[arg-type]  # wrong on purpose
    assert words in refusal.value.what
    assert "Use one of" in refusal.value.todo


def test_a_profile_is_cut_from_released_bytes_alone(demo: Workshop, tmp_path: Path) -> None:
    program_segment(demo, NUMBER, profile=True)
    with demo.database.read() as connection:
        row = cutfiles.find_revision(connection, CUT_FILE, AS_BUILT)
    assert row is not None
    kept = next(
        path
        for path in (tmp_path / "data" / "vault").rglob("*")
        if row.sha256[4:] in path.name or row.sha256 in path.name
    )
    data = kept.read_bytes()
    kept.chmod(0o644)
    kept.write_bytes(data[:-1] + b"x")
    with pytest.raises(CutFileAltered):
        program_segment(demo, NUMBER, profile=True)


def test_a_withdrawn_profile_is_not_cut_but_its_text_is(demo: Workshop) -> None:
    withdraw_revision(demo, CUT_FILE, AS_BUILT, "pocket too deep")
    program_segment(demo, NUMBER)
    with pytest.raises(RevisionWithdrawn) as refusal:
        program_segment(demo, NUMBER, profile=True)
    assert "pocket too deep" in refusal.value.what


def test_a_profile_that_the_tool_cannot_cut_is_refused_with_each_hole_named(demo: Workshop) -> None:
    router = demo.router("metric")
    wide = [tool.model_copy(update={"diameter_mm": 12.0}) if tool.use == "profile" else tool for tool in router.tools]
    coarse = dataclasses.replace(demo, routers={"metric": router.model_copy(update={"tools": tuple(wide)})})
    with pytest.raises(LintFailed) as refusal:
        program_segment(coarse, NUMBER, profile=True)
    rules = [finding.rule for finding in refusal.value.findings]
    # The two screw holes of the quarter.
    assert rules.count("hole_narrower_than_cutter") == 2


def test_the_list_of_routers_says_what_each_tool_leaves(demo: Workshop) -> None:
    listed = {router.name: router for router in list_routers(demo).routers}
    assert set(listed) == {"metric", "inch-single-spindle"}
    assert [tool.groove_mm for tool in listed["metric"].tools] == [0.5, 0.562, 0.98, None]
