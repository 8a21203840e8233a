"""Printing: every symbol read back by an independent decoder, intent and result on record, equal bytes each time."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterable
from typing import IO

import pypdfium2
import pytest
import zxingcpp
from ezdxf import recover
from PIL import Image

from schemas.answers import KitAnswer
from service.errors import (
    BadRequest,
    KitUnknown,
    MarkUnknown,
    NoEngravingRoom,
    ReadBackFailed,
    TemplateUnknown,
)
from service.marks.engraving import Engraving
from service.marks.items import Layout
from service.marks.stroke_reading import read_strokes
from service.render.pdf import write_pdf
from service.store import events, marks, segments
from service.store.values import MarkRow
from service.work import drawing_room, engraving_room
from service.work.engrave import engrave_kit, engrave_segment
from service.work.placement import parts_to_engrave
from service.work.plates import segment_plates
from service.work.print_marks import print_kit, print_segment
from service.work.read import find_active
from service.work.release import release_revision
from service.work.workshop import Workshop
from tests.small_kit import NUMBER_PLATES, NUMBER_U3, file_of, issue_small, make_dxf, segment

TEMPLATES = ("nameplate-60x22", "nameplate-90x35", "tied-tag-80x50", "cart-placard-a5", "crate-label-a5")


def on_record(workshop: Workshop, number: str) -> tuple[MarkRow, ...]:
    with workshop.database.read() as connection:
        row = segments.find_segment(connection, number)
        assert row is not None
        return marks.marks_of(connection, row.id)


def decoded(data: bytes, page: int, dpi: int) -> set[str]:
    """Every symbol of a page of a PDF as an independent decoder reads it at the printer's resolution."""
    picture = pypdfium2.PdfDocument(data)[page].render(scale=dpi / 72).to_pil()
    return {found.bytes.decode() for found in zxingcpp.read_barcodes(picture)}


@pytest.mark.parametrize("template", TEMPLATES)
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_every_mark_of_a_kit_decodes_to_its_number_or_key(
    stocked: Workshop, issued: KitAnswer, template: str, dpi: int
) -> None:
    data = print_kit(stocked, issued.number, template=template, dpi=dpi)
    assert len(pypdfium2.PdfDocument(data)) == len(issued.segments)
    for page, row in enumerate(issued.segments):
        key = row.pieces[0].key if row.pieces else row.key
        texts = decoded(data, page, dpi)
        assert f"HTTP://127.0.0.1:8000/S/{key}" in texts
        assert key in texts or row.number in texts
        # Nothing else's identity stands on it.
        others = {other.number for other in issued.segments} - {row.number}
        assert not texts & others


def test_equal_requests_give_equal_bytes(stocked: Workshop, issued: KitAnswer) -> None:
    assert print_kit(stocked, issued.number) == print_kit(stocked, issued.number)
    assert print_kit(stocked, issued.number, paper="a4") == print_kit(stocked, issued.number, paper="a4")


def test_intent_and_result_are_on_record(stocked: Workshop, issued: KitAnswer) -> None:
    print_kit(stocked, issued.number)
    (mark,) = on_record(stocked, NUMBER_U3)
    assert (mark.kind, mark.form, mark.state, mark.verified_by) == ("nameplate", "nameplate-60x22", "made", "zxing-cpp")
    assert mark.text.startswith(NUMBER_U3)


def test_a_symbol_that_does_not_read_back_is_not_handed_out(
    stocked: Workshop, issued: KitAnswer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The drawing is spoiled on purpose: a writer that leaves the last page out."""
    whole = write_pdf

    def spoiled(stream: IO[bytes], layouts: Iterable[Layout], **more: object) -> int:
        return whole(stream, list(layouts)[:-1], **more)  # type: ignore[arg-type]  # passed on as it came

    monkeypatch.setattr(drawing_room, "write_pdf", spoiled)
    with pytest.raises(ReadBackFailed):
        print_kit(stocked, issued.number)
    assert {mark.state for mark in on_record(stocked, NUMBER_U3)} == {"failed"}


def test_a_picture_is_the_mark_of_the_piece_whose_key_was_given(stocked: Workshop, issued: KitAnswer) -> None:
    row = next(row for row in issued.segments if row.number == NUMBER_U3)
    key = row.pieces[0].key or ""
    with Image.open(io.BytesIO(print_segment(stocked, key, form="png", dpi=300))) as picture:
        texts = {found.bytes.decode() for found in zxingcpp.read_barcodes(picture)}
    assert key in texts
    assert print_segment(stocked, NUMBER_U3, form="svg").startswith(b"<")
    # Plates that stand for all forty pieces carry the segment's key.
    plates = next(row for row in issued.segments if row.number == NUMBER_PLATES)
    assert plates.key in decoded(print_segment(stocked, NUMBER_PLATES, form="pdf"), 0, 203)


def test_what_cannot_be_printed_is_said(stocked: Workshop, issued: KitAnswer) -> None:
    with pytest.raises(KitUnknown):
        print_kit(stocked, "OSV4-FC1-A330")
    with pytest.raises(TemplateUnknown, match="nameplate-60x22"):
        print_kit(stocked, issued.number, template="none")
    with pytest.raises(BadRequest, match="203"):
        print_kit(stocked, issued.number, dpi=150)
    with pytest.raises(MarkUnknown):
        print_segment(stocked, "OSV4-FC1-A500-TS7-X1-21", form="pdf")
    assert on_record(stocked, NUMBER_U3) == ()


def strokes_of(data: bytes) -> list[tuple[tuple[float, float], ...]]:
    """The strokes of a DXF as another library reads them, in the units of the file."""
    document, auditor = recover.read(io.BytesIO(data))
    assert not auditor.has_errors
    return [tuple((x, y) for x, y in line.get_points("xy")) for line in document.modelspace().query("LWPOLYLINE")]  # type: ignore[attr-defined]  # a query gives graphics of the kind asked for


def test_every_engraving_of_a_kit_reads_as_its_text(stocked: Workshop, issued: KitAnswer) -> None:
    data = engrave_kit(stocked, issued.number)
    assert engrave_kit(stocked, issued.number) == data
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        rows = [line.split("\t") for line in archive.read("engravings.tsv").decode().splitlines()[1:]]
        assert [row[0] for row in rows] == [segment.number for segment in issued.segments]
        for number, key, name, *_ in rows:
            chosen = planned(stocked, number, key)
            found = read_strokes(strokes_of(archive.read(name)), chosen.cap_height_mm, angle_deg=chosen.angle_deg)
            assert found == list(chosen.lines)
            assert "-".join(line for line in found if line not in ("LEFT", "RIGHT")) == number


def planned(workshop: Workshop, number: str, key: str) -> Engraving:
    """The engraving that was chosen for a segment."""
    with workshop.database.read() as connection:
        plates = segment_plates(workshop, connection, find_active(connection, key, field="number"))
        part = parts_to_engrave(connection, plates)[0]
    assert part.number == number
    return engraving_room.place_text(part).engraving


def test_an_engraving_is_in_the_units_of_its_cut_file(stocked: Workshop, issued: KitAnswer) -> None:
    inches = make_dxf(insunits=1, mm_per_unit=25.4, hole_mm=21.0)
    release_revision(stocked, "inches.dxf", inches, revision="-")
    kit = issue_small(
        stocked,
        container={"name": "sport 330 mL", "nominal": 330, "unit": "mL"},
        segments={"SW2": [segment("SW2-U1", cut_file="inches.dxf")]},
    )
    data = engrave_segment(stocked, kit.segments[0].number, form="dxf")
    document, _auditor = recover.read(io.BytesIO(data))
    assert document.header["$INSUNITS"] == 1
    assert all(0 <= value <= 150 / 25.4 for stroke in strokes_of(data) for point in stroke for value in point)


def test_a_part_without_room_is_named_and_stops_no_other(stocked: Workshop, issued: KitAnswer) -> None:
    release_revision(stocked, "sliver.dxf", make_dxf(width_mm=60.0, height_mm=12.0, hole_mm=4.0), revision="-")
    kit = issue_small(
        stocked,
        container={"name": "sport 330 mL", "nominal": 330, "unit": "mL"},
        segments={"RL1": [segment("RL1-U1", cut_file="sliver.dxf"), segment("RL1-U2", cut_file=file_of("SW2-U1"))]},
    )
    with pytest.raises(NoEngravingRoom, match="tied tag"):
        engrave_segment(stocked, kit.segments[0].number, form="dxf")
    with zipfile.ZipFile(io.BytesIO(engrave_kit(stocked, kit.number))) as archive:
        listed = archive.read("engravings.tsv").decode()
        (refused,) = (line.split("\t") for line in listed.splitlines() if "not engraved" in line)
        assert refused[0] == kit.segments[0].number
        assert "template tied-tag-80x50" in refused[2]
        assert refused[3] == "tied tag"
        assert f"{kit.segments[1].number}.dxf" in archive.namelist()
    with stocked.database.read() as connection:
        after = [event.after or "" for event in events.events_of(connection, kit.number) if event.verb == "engrave"]
    engraved = json.loads(next(one for one in reversed(after) if "engraved" in one))["engraved"]
    assert [one["rung"] for one in engraved] == ["tied tag", "two lines"]


def test_the_preview_shows_the_real_outline(stocked: Workshop, issued: KitAnswer) -> None:
    assert b"<path" in engrave_segment(stocked, NUMBER_U3, form="svg")
