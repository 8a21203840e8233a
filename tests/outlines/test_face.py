"""The free area: every point of it keeps every margin, and no point that keeps them all is left out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, box

from service.outlines.face import (
    FULL,
    HOLE_MM,
    HUB_MM,
    JOINT_MM,
    LEAST_MM,
    PLAIN_MM,
    SHADOW_MM,
    STEPS,
    WORKING_MM,
    Face,
    Margins,
    Surroundings,
    face_of,
)
from tests.outlines.assembly import drawings, face_in_kit, mirrored, moved, turned
from tests.part_factory import make_drawing

NEAR_MM = 0.05
"""A buffer's round corners are polygons: so far may they lie from the true distance."""


def allowed(face: Face, points: Any, margins: Margins, *, slack_mm: float) -> np.ndarray:
    """Whether each point keeps its distances, measured one by one; nothing here draws a margin."""
    drawing = face.drawing
    kept = shapely.covers(drawing.material, points)
    rings = [(face.working, margins.working_mm), (face.joints, margins.joint_mm), (face.plain, PLAIN_MM)]
    rings += [(hole, HOLE_MM) for part in drawing.material.geoms for hole in part.interiors]
    rings += [(hub, HUB_MM) for hub in drawing.hubs]
    for shape, distance in rings:
        if not shape.is_empty:
            kept &= shapely.distance(shape, points) >= distance + slack_mm
    for keepout in drawing.keepouts:
        kept &= shapely.distance(keepout, points) >= slack_mm
    if not face.shadow.is_empty:
        kept &= shapely.distance(face.shadow, points) >= SHADOW_MM + slack_mm
    return np.asarray(kept)


@pytest.mark.parametrize("place", ["SW2-L1", "SW3-U2", "CG1-U2", "OR1-U1", "OR3-L2", "NG1-K1", "RL1-U1", "BP1-X1"])
def test_the_free_area_is_what_the_distances_say(place: str) -> None:
    face = face_in_kit(place)
    face = replace(face, drawing=replace(face.drawing, engraving_zones=()))
    left, bottom, right, top = face.drawing.bounds_mm
    points = shapely.points(np.random.default_rng(1).uniform((left, bottom), (right, top), (4000, 2)))
    for margins in STEPS:
        free = face.free(margins)
        inside = shapely.covers(free, points)
        assert not (inside & ~allowed(face, points, margins, slack_mm=-NEAR_MM)).any()
        assert not (~inside & allowed(face, points, margins, slack_mm=NEAR_MM)).any()


class TestEdges:
    def test_a_quarter_of_a_star_has_joints_pockets_and_lands(self) -> None:
        face = face_in_kit("SW2-U3")
        assert len(face.neighbours) == 2
        parts = {name: getattr(face, name) for name in ("joints", "working", "plain")}
        around = face.drawing.material.geoms[0].exterior
        under_hub = around.intersection(face.drawing.hubs[0])
        shared = sum(part.length for part in parts.values()) + under_hub.difference(parts["joints"].buffer(1e-6)).length
        assert shared == pytest.approx(around.length, rel=0.002)
        # Both splits run from the bore to the land circle, with two dovetails each.
        assert parts["joints"].length > 2 * (214.8 - 50)
        # Pockets reach in from the pitch circle, lands lie on it.
        distances = shapely.distance(Point(0, 0), shapely.points(shapely.get_coordinates(parts["plain"])))
        assert distances == pytest.approx(218.3, abs=0.05)

    def test_a_band_is_hollow_where_containers_run_and_plain_behind(self) -> None:
        face = face_in_kit("OR2-L1")
        for edge, radius in ((face.plain, 318.69), (face.working, 252.69)):
            runs = [run for run in getattr(edge, "geoms", [edge]) if run.length > 100]
            assert runs
            for run in runs:
                middle = run.interpolate(0.5, normalized=True)
                assert middle.distance(Point(0, 0)) == pytest.approx(radius, abs=0.1)

    @pytest.mark.parametrize("place", ["RL1-U1", "DC1-X1", "TS1-X2"])
    def test_what_is_not_known_has_the_larger_margin_all_round(self, place: str) -> None:
        face = face_in_kit(place)
        assert face.plain.is_empty
        assert face.joints.is_empty
        outside = face.drawing.material.geoms[0].exterior
        assert face.working.length == pytest.approx(outside.length, rel=1e-3)
        assert outside.distance(face.free(FULL)) >= WORKING_MM - NEAR_MM

    def test_a_part_over_another_one_is_no_neighbour(self) -> None:
        drawing = make_drawing()
        assert face_of(drawing, Surroundings(neighbours=(drawing,))).joints.is_empty

    def test_a_neighbour_a_millimetre_away_is_none(self) -> None:
        face = face_of(make_drawing(), Surroundings(neighbours=(make_drawing(box(201, 0, 300, 90)),)))
        assert face.joints.is_empty
        close = face_of(make_drawing(), Surroundings(neighbours=(make_drawing(box(200.3, 0, 300, 90)),)))
        assert close.joints.length == pytest.approx(90, abs=2)
        assert close.free(FULL).bounds[2] == pytest.approx(200 - JOINT_MM, abs=0.01)


class TestShadow:
    def test_the_deck_above_covers_what_it_covers(self) -> None:
        over = make_drawing(box(120, -50, 400, 200))
        face = face_of(make_drawing(), Surroundings(above=(over,)))
        assert face.shadow.area == pytest.approx(80 * 90)
        assert face.free(FULL).bounds[2] == pytest.approx(120 - SHADOW_MM, abs=0.01)
        assert face.free(FULL, seen=False).bounds[2] == pytest.approx(200 - WORKING_MM, abs=0.01)

    def test_a_lower_star_lies_wholly_under_the_upper_one(self) -> None:
        face = face_in_kit("SW2-L3")
        assert face.shadow.area / face.drawing.area_mm2 > 0.99
        assert face.free(FULL).is_empty
        assert not face.free(FULL, seen=False).is_empty

    def test_a_joint_of_the_deck_above_lets_nothing_be_seen(self) -> None:
        halves = tuple(make_drawing(box(*corners)) for corners in ((-10, -10, 99.9, 100), (100.2, -10, 300, 100)))
        assert face_of(make_drawing(), Surroundings(above=halves)).free(FULL).is_empty


class TestMargins:
    def test_they_are_taken_back_step_by_step_to_the_least(self) -> None:
        assert [step.name for step in STEPS] == ["full", "reduced", "reduced"]
        assert (FULL.working_mm, FULL.joint_mm) == (WORKING_MM, JOINT_MM)
        assert (STEPS[-1].working_mm, STEPS[-1].joint_mm) == (LEAST_MM, LEAST_MM)
        areas = [face_of(make_drawing()).free(step).area for step in STEPS]
        assert areas == sorted(areas)

    def test_a_zone_is_used_to_its_border(self) -> None:
        zone = box(2, 2, 62, 22)
        face = face_of(make_drawing(engraving_zones=(zone,)))
        (only,) = face.steps
        assert only.name == "zone"
        hole = Point(30, 45).buffer(12)
        assert face.free(only).symmetric_difference(zone.difference(hole)).area == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("move", [turned(73), mirrored], ids=["turned", "mirrored"])
def test_the_free_area_turns_and_is_mirrored_with_the_assembly(move: object) -> None:
    assert callable(move)
    there = move(face_in_kit("SW3-U2").free(FULL))
    here = face_in_kit("SW3-U2", move).free(FULL)
    assert here.symmetric_difference(there).area < 0.002 * there.area


def test_a_drawing_is_not_changed() -> None:
    before = drawings()["SW2-U3"]
    face_in_kit("SW2-U3").free(FULL)
    assert moved(before, lambda shape: shape) == before
