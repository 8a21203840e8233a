"""The engraving of one segment, drawn in a rendering process: plain values in, proven bytes out. Knows no database."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from service.errors import LintFailed
from service.marks.cutters import USUAL_CUTTER, Cutter
from service.marks.engraving_lint import lint_engraving
from service.marks.placed import PlacedEngraving, place_engraving
from service.outlines.drawing import Drawing
from service.outlines.face import Face, Surroundings, face_of
from service.outlines.stored import from_bytes
from service.outlines.units import unit_of_symbol
from service.render.dxf import engraving_dxf
from service.render.dxf_engrave_into import engrave_into
from service.render.engraving_read_back import prove_dxf, prove_svg
from service.render.engraving_svg import engraving_svg
from service.render.revision_read_back import prove_revision
from service.rules.engravable import engravable
from service.work.placement import EngravedPart

EngravingForm = Literal["dxf", "svg"]


@lru_cache(maxsize=64)
def place_text(part: EngravedPart, cutter: Cutter = USUAL_CUTTER) -> PlacedEngraving:
    """The text of a segment at its place, with the letter of its revision.

    Raises:
        NoEngravingRoom: nothing fits; a tied tag carries the number then.
        LintFailed: the cutter is set deeper than its form or the sheet allows, or a rule of the grooves is broken.
    """
    placed = place_engraving(
        _face(part.drawing, part.neighbours, part.above, part.others),
        number=part.number,
        key=part.key,
        hand=part.hand,
        revision=part.revision,
        cutter=cutter,
        material=part.material,
        thickness_mm=part.thickness_mm,
    )
    found = lint_engraving(placed.engraving, engravable(part.material), thickness_mm=part.thickness_mm)
    if any(finding.level == "error" for finding in found):
        raise LintFailed(found)
    return placed


def draw_engraving(part: EngravedPart, *, form: EngravingForm, cutter: Cutter = USUAL_CUTTER) -> bytes:
    """The engraving of one segment as a DXF in the units of its source, or as a preview over the real outline.

    The DXF holds the text alone: the letter of the revision belongs to the program that cuts the profile.

    Raises:
        NoEngravingRoom, LintFailed: as for ``place_text``.
        ReadBackFailed: the finished file does not say what was chosen.
    """
    placed = place_text(part, cutter)
    if form == "svg":
        text = engraving_svg(placed)
        prove_svg(text, placed.engraving, name=f"{part.number}.svg")
        return text.encode()
    drawing = placed.face.drawing
    unit = unit_of_symbol(drawing.units)
    data = engraving_dxf(placed.engraving, mm_per_unit=drawing.mm_per_unit, insunits=unit.insunits)
    prove_dxf(data, placed.engraving, name=f"{part.number}.dxf")
    return data


def draw_engraved_cut_file(released: bytes, part: EngravedPart, *, name: str, cutter: Cutter = USUAL_CUTTER) -> bytes:
    """A cut file with text and revision added, each on a layer of its own; every line of the original stays.

    Raises:
        NoEngravingRoom, LintFailed: as for ``place_text``.
        BadCutFile: a form of DXF into which nothing can be put, for one a binary file.
        ReadBackFailed: the finished file does not say what was chosen.
    """
    placed = place_text(part, cutter)
    mm_per_unit = placed.face.drawing.mm_per_unit
    revision = placed.revision.strokes if placed.revision is not None else ()
    data = engrave_into(released, placed.engraving, revision=revision, mm_per_unit=mm_per_unit, name=name)
    prove_dxf(data, placed.engraving, name=name, mm_per_unit=mm_per_unit)
    if placed.revision is not None:
        prove_revision(data, placed.revision, name=name, mm_per_unit=mm_per_unit)
    return data


@lru_cache(maxsize=32)
def _face(drawing: bytes, neighbours: tuple[bytes, ...], above: tuple[bytes, ...], others: tuple[bytes, ...]) -> Face:
    """The face of a part; many segments are cut from one outline."""
    return face_of(
        _drawing(drawing),
        Surroundings(*(tuple(_drawing(data) for data in group) for group in (neighbours, above, others))),
    )


@lru_cache(maxsize=256)
def _drawing(data: bytes) -> Drawing:
    return from_bytes(data)
