"""The mark of the revision in a finished cut file: another letter, another place or a missing ring is refused."""

from __future__ import annotations

import dataclasses

import pytest
from shapely.geometry import LineString, box

from service.errors import ReadBackFailed
from service.marks.placed import place_engraving
from service.marks.revision_mark import GAP, RevisionMark
from service.outlines.face import FULL, face_of
from service.render.dxf_engrave_into import engrave_into
from service.render.revision_read_back import prove_revision
from tests.part_factory import KEY, NUMBER, make_drawing, make_engraving
from tests.render.test_dxf_engrave_into import make_cut_file


def marked(letter: str) -> RevisionMark:
    placed = place_engraving(face_of(make_drawing()), number=NUMBER, key=KEY, revision=letter)
    assert placed.revision is not None
    return placed.revision


@pytest.mark.parametrize("letter", ["-", "A", "B", "W", "AA", "AW"])
@pytest.mark.parametrize("release", ["R12", "R2010"])
def test_what_was_planned_is_found(letter: str, release: str) -> None:
    mark = marked(letter)
    data = engrave_into(make_cut_file(release=release), make_engraving(), mm_per_unit=1.0, revision=mark.strokes)
    prove_revision(data, mark, name="part.dxf", mm_per_unit=1.0)
    for other in {"-", "A", "B", "AA"} - {letter}:
        with pytest.raises(ReadBackFailed, match="reads"):
            prove_revision(data, dataclasses.replace(mark, letter=other), name="part.dxf", mm_per_unit=1.0)
    moved = dataclasses.replace(mark, strokes=tuple(tuple((x + 0.1, y) for x, y in s) for s in mark.strokes))
    with pytest.raises(ReadBackFailed, match="planned"):
        prove_revision(data, moved, name="part.dxf", mm_per_unit=1.0)


def test_a_letter_without_its_ring_is_refused() -> None:
    mark = marked("B")
    data = engrave_into(make_cut_file(), make_engraving(), mm_per_unit=1.0, revision=mark.strokes[:-1])
    with pytest.raises(ReadBackFailed, match="0 rings"):
        prove_revision(data, mark, name="part.dxf")


@pytest.mark.parametrize("letter", ["-", "A", "W", "AW"])
def test_the_ring_stands_clear_of_its_letter_and_of_the_number(letter: str) -> None:
    drawing = make_drawing()
    placed = place_engraving(face_of(drawing), number=NUMBER, key=KEY, revision=letter)
    mark = placed.revision
    assert mark is not None
    groove = placed.engraving.cutter.groove_mm
    *strokes, ring = (LineString(stroke) for stroke in mark.strokes)
    assert min(stroke.distance(ring) for stroke in strokes) > 1.5 * groove
    text = min(LineString(stroke).distance(ring) for stroke in placed.engraving.strokes)
    assert text >= GAP * placed.engraving.cap_height_mm - 1e-6
    assert face_of(drawing).free(FULL).buffer(1e-6).covers(ring.buffer(groove / 2))
    assert mark.cap_height_mm <= placed.engraving.cap_height_mm


def test_a_part_that_the_text_fills_has_no_mark_rather_than_one_too_close() -> None:
    placed = place_engraving(face_of(make_drawing(box(0, 0, 75, 29))), number=NUMBER, key=KEY, revision="B")
    assert placed.engraving.lines == ("OSV4-FC1-A500", "SW2-U3-42")
    assert placed.revision is None
    assert placed.record()["revision_mark_mm"] == 0.0
