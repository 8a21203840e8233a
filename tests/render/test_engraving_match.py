"""Grooves read as a picture: a wrong, mirrored, turned or clipped text fails by the name of its rule."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from itertools import pairwise
from random import Random

import arbez_dmtx
import numpy as np
import pytest
import shapely
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from service.errors import ReadBackFailed
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraving import Engraving, prove
from service.marks.strokes import CHARACTERS, Point, Stroke, glyph, set_line
from service.numbering.key import Key
from service.render.dxf import engraving_dxf
from service.render.engraving_match import dot_findings, dot_picture, groove_findings, path_findings
from service.render.engraving_picture import UNREADABLE, picture, read
from service.render.engraving_read_back import prove_dxf, prove_found
from tests.part_factory import NUMBER, make_engraving

GROOVES = (0.03, 0.1, 1 / 6)


def text_of(strokes: tuple[Stroke, ...], *, groove: float = 0.1, cap_height_mm: float = 5.0) -> tuple[str, ...]:
    shown = picture(
        strokes, groove_mm=groove * cap_height_mm, cap_height_mm=cap_height_mm, origin=(0.0, 0.0), angle_deg=0.0
    )
    assert shown is not None
    return read(shown).lines


def moved(engraving: Engraving, move: Callable[[float, float], Point]) -> tuple[Stroke, ...]:
    """The strokes with every point moved, in mm along and across the block from its middle."""
    turn = math.radians(engraving.angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    x0, y0 = engraving.origin
    half_width, half_height = engraving.width_mm / 2, engraving.height_mm / 2

    def one(x: float, y: float) -> Point:
        along, across = (x - x0) * cos + (y - y0) * sin - half_width, (y - y0) * cos - (x - x0) * sin - half_height
        along, across = move(along, across)
        along, across = along + half_width, across + half_height
        return x0 + along * cos - across * sin, y0 + along * sin + across * cos

    return tuple(tuple(one(x, y) for x, y in stroke) for stroke in engraving.strokes)


def rules(strokes: tuple[Stroke, ...], engraving: Engraving) -> list[str]:
    return [finding.rule for finding in groove_findings(strokes, engraving)]


@pytest.mark.parametrize("groove", GROOVES)
@pytest.mark.parametrize("char", CHARACTERS)
def test_every_letter_reads_as_itself_under_every_groove(char: str, groove: float) -> None:
    assert text_of(set_line(f"H{char}H", 5.0).strokes, groove=groove) == (f"H{char}H",)


@pytest.mark.parametrize("pair", ["0O", "8B", "5S", "6G", "1I", "2Z", "7T", "69", "MW", "OQ", "CG", "EF", "PR", "UV"])
@pytest.mark.parametrize("groove", GROOVES)
def test_look_alikes_are_told_apart_in_a_text_that_expects_the_other(pair: str, groove: float) -> None:
    for meant, cut in ((pair[0], pair[1]), (pair[1], pair[0])):
        number = NUMBER.replace("V", meant, 1)
        other = NUMBER.replace("V", cut, 1)
        cutter = Cutter(kind="flat", diameter_mm=groove * 7.0, depth_mm=0.4)
        planned = make_engraving(number=number, width_mm=110, height_mm=20, cutter=cutter)
        wrong = make_engraving(number=other, width_mm=110, height_mm=20, cutter=cutter)
        assert planned.cap_height_mm == wrong.cap_height_mm
        assert rules(planned.strokes, planned) == []
        assert rules(wrong.strokes, planned) == ["engraving_wrong_text"]


@given(angle_deg=st.floats(-180, 180), width_mm=st.floats(45, 300), height_mm=st.floats(9, 60))
@settings(max_examples=25, deadline=None)
def test_a_right_text_has_no_finding_wherever_it_lies(angle_deg: float, width_mm: float, height_mm: float) -> None:
    engraving = make_engraving(width_mm=width_mm, height_mm=height_mm, angle_deg=angle_deg)
    assert groove_findings(engraving.strokes, engraving) == []


@pytest.mark.parametrize("size", [(90, 30), (33, 6), (20, 20)])
@pytest.mark.parametrize("angle_deg", [0.0, 37.0, 90.0])
def test_a_mirrored_text_is_named(size: tuple[float, float], angle_deg: float) -> None:
    engraving = make_engraving(width_mm=size[0], height_mm=size[1], angle_deg=angle_deg)
    assert rules(moved(engraving, lambda x, y: (-x, y)), engraving) == ["engraving_mirrored"]
    assert rules(moved(engraving, lambda x, y: (x, -y)), engraving) == ["engraving_mirrored"]


@pytest.mark.parametrize("size", [(90, 30), (33, 6), (20, 20)])
def test_a_turned_text_is_named(size: tuple[float, float]) -> None:
    engraving = make_engraving(width_mm=size[0], height_mm=size[1])
    for turn in (lambda x, y: (-x, -y), lambda x, y: (-y, x), lambda x, y: (y, -x)):
        assert rules(moved(engraving, turn), engraving) == ["engraving_turned"]


def test_letters_that_are_mirrored_one_by_one_are_named() -> None:
    engraving = make_engraving(key="R8CN5JF3", width_mm=33, height_mm=6)
    per_letter: list[Stroke] = []
    rest = list(engraving.strokes)
    x0, _ = engraving.origin
    for letter in engraving.letters:
        drawn = glyph(letter.char)
        middle = x0 + letter.x + drawn.width * engraving.cap_height_mm / 2
        own, rest = rest[: len(drawn.strokes)], rest[len(drawn.strokes) :]
        per_letter += [tuple((2 * middle - x, y) for x, y in stroke) for stroke in own]
    assert rules((*per_letter, *rest), engraving) == ["engraving_mirrored"]


def test_every_stroke_that_is_missing_is_named_as_clipped_or_as_another_text() -> None:
    engraving = make_engraving()
    for index in range(len(engraving.strokes)):
        found = groove_findings([*engraving.strokes[:index], *engraving.strokes[index + 1 :]], engraving)
        assert [finding.rule for finding in found] in (["engraving_clipped"], ["engraving_wrong_text"])


def test_a_text_that_ends_at_an_edge_is_clipped_and_the_letters_are_named() -> None:
    engraving = make_engraving()
    limit = engraving.origin[0] + engraving.width_mm - 3.0
    sheet = shapely.box(-1000, -1000, limit, 1000)
    left = shapely.get_parts(
        shapely.intersection(shapely.multilinestrings([shapely.linestrings(one) for one in engraving.strokes]), sheet)
    )
    clipped = [tuple((float(x), float(y)) for x, y in part.coords) for part in left]
    (finding,) = groove_findings(clipped, engraving)
    assert finding.rule == "engraving_clipped"
    assert finding.message == "parts of 0 are missing"


def test_a_missing_base_line_is_named() -> None:
    engraving = make_engraving(width_mm=33, height_mm=6)
    (finding,) = groove_findings(engraving.strokes[:-1], engraving)
    assert (finding.rule, "base line" in finding.message) == ("engraving_clipped", True)


def test_nothing_at_all_and_far_too_much_are_named() -> None:
    engraving = make_engraving()
    assert rules((), engraving) == ["engraving_clipped"]
    assert rules((*engraving.strokes, ((0.0, 0.0), (1e6, 1e6))), engraving) == ["engraving_wrong_text"]


def test_a_scratch_beside_the_text_is_no_letter() -> None:
    engraving = make_engraving()
    x, y = engraving.origin
    scratch = ((x - 4.0, y), (x - 2.0, y + 3.0))
    (finding,) = groove_findings([*engraving.strokes, scratch], engraving)
    assert (finding.rule, UNREADABLE in finding.message) == ("engraving_wrong_text", True)


def test_a_bar_that_slipped_by_a_fifteenth_makes_no_letter() -> None:
    bars = glyph("E").strokes
    slipped = (*bars[:2], tuple((x, y + 1 / 15) for x, y in bars[2]), *bars[3:])
    assert text_of(tuple(tuple((5 * x, 5 * y) for x, y in stroke) for stroke in slipped)) == (UNREADABLE,)


def test_a_text_is_found_among_other_paths_of_its_cutter() -> None:
    engraving = make_engraving(angle_deg=37.0)
    x, y = engraving.origin
    ring = tuple((x - 30 + 4 * math.cos(turn / 4), y - 30 + 4 * math.sin(turn / 4)) for turn in range(26))
    twice = (*engraving.strokes, ring, *engraving.strokes)
    assert path_findings(twice, engraving) == []
    wrong = moved(engraving, lambda along, across: (-along, across))
    assert [finding.rule for finding in path_findings([*wrong, ring], engraving)] == ["engraving_mirrored"]
    elsewhere = tuple(tuple((px + 300, py) for px, py in stroke) for stroke in engraving.strokes)
    assert [finding.rule for finding in path_findings(elsewhere, engraving)] == ["engraving_clipped"]
    dotted = make_engraving(width_mm=12, height_mm=10)
    points = [(dot,) for dot in dotted.dots]
    assert path_findings([*points, ring, *points], dotted) == []
    assert [finding.rule for finding in path_findings(points[1:], dotted)] == ["engraving_clipped"]


def test_the_read_back_names_the_rule() -> None:
    engraving = make_engraving()
    mirrored = dataclasses.replace(engraving, strokes=moved(engraving, lambda x, y: (-x, y)))
    with pytest.raises(ReadBackFailed, match="engraving_mirrored"):
        prove_dxf(engraving_dxf(mirrored), engraving, name="part.dxf")


def test_the_picture_agrees_with_the_reader_of_strokes() -> None:
    """Two readers that share no code: one follows strokes, one sees pixels."""
    draw = Random(7)
    for _ in range(20):
        text = "".join(draw.choices(CHARACTERS.replace(".", "").replace(":", ""), k=8))
        strokes = set_line(f"H{text}", 5.0).strokes
        engraving = dataclasses.replace(
            make_engraving(), lines=(f"H{text}",), cap_height_mm=5.0, strokes=strokes, angle_deg=0.0, origin=(0.0, 0.0)
        )
        prove(engraving)
        assert text_of(strokes) == (f"H{text}",)


class TestDots:
    @pytest.mark.parametrize("angle_deg", [0.0, 30.0, 90.0, -45.0])
    def test_the_key_of_drilled_dots_is_decoded(self, angle_deg: float) -> None:
        engraving = make_engraving(width_mm=12, height_mm=10, angle_deg=angle_deg)
        assert engraving.rung == "drilled dots"
        assert dot_findings(engraving.dots, engraving) == []
        prove_found((), engraving.dots, engraving, name="part.dxf")

    @pytest.mark.parametrize(
        "cutter",
        [
            USUAL_CUTTER,
            Cutter(kind="ball", diameter_mm=0.8, depth_mm=0.1),
            Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.35, angle_deg=60.0, tip_mm=0.1),
        ],
        ids=lambda cutter: cutter.words,
    )
    def test_two_decoders_of_other_makes_read_every_key(self, cutter: Cutter) -> None:
        draw = Random(1)
        for _ in range(8):
            key = str(Key.random(draw)).replace("-", "")
            engraving = make_engraving(key=key, width_mm=13, height_mm=13, cutter=cutter)
            assert engraving.rung == "drilled dots"
            image = dot_picture(engraving.dots, diameter_mm=engraving.dot_diameter_mm, pitch_mm=engraving.dot_pitch_mm)
            assert [found.text for found in zxingcpp.read_barcodes(np.asarray(image))] == [key]
            found = arbez_dmtx.decode(image, max_count=1)  # type: ignore[no-untyped-call]  # it carries no types
            assert [one.data.decode() for one in found] == [key]

    def test_missing_dots_strangers_and_mirrored_dots_are_named(self) -> None:
        engraving = make_engraving(width_mm=12, height_mm=10)
        named = {
            "engraving_clipped": (engraving.dots[1:], engraving.dots[: len(engraving.dots) // 2], ()),
            "engraving_mirrored": (tuple((200 - x, y) for x, y in engraving.dots),),
            "engraving_wrong_text": (
                (*engraving.dots, (engraving.dots[0][0] - 0.1, engraving.dots[0][1] - 0.5)),
                make_engraving(key="P3HW9TCP", width_mm=12, height_mm=10).dots,
            ),
        }
        for rule, cases in named.items():
            for dots in cases:
                assert [finding.rule for finding in dot_findings(dots, engraving)] == [rule]

    def test_dots_in_a_text_are_strangers(self) -> None:
        engraving = make_engraving()
        assert [finding.rule for finding in dot_findings([(0.0, 0.0)], engraving)] == ["engraving_wrong_text"]

    def test_strokes_among_dots_are_strangers(self) -> None:
        engraving = make_engraving(width_mm=12, height_mm=10)
        line = (engraving.dots[0], engraving.dots[5])
        assert rules((line,), engraving) == ["engraving_wrong_text"]
        with pytest.raises(ReadBackFailed, match="engraving_wrong_text"):
            prove_found((line,), engraving.dots, engraving, name="part.dxf")

    def test_dots_keep_the_pitch(self) -> None:
        engraving = make_engraving(width_mm=12, height_mm=10)
        # The solid left edge of a Data Matrix: ISO/IEC 16022, from memory.
        edge = sorted(y for x, y in engraving.dots if x == min(x for x, _ in engraving.dots))
        assert len(edge) == 14
        assert all(b - a == pytest.approx(engraving.dot_pitch_mm) for a, b in pairwise(edge))
