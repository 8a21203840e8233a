"""A kit of 150 segments: issued, printed, engraved, ordered again and packed in one go."""

from __future__ import annotations

import io
import zipfile
from collections import Counter

import pypdfium2

from schemas.manifest_reading import read_manifest
from schemas.requests import ReorderRequest
from service.work.engrave import engrave_kit
from service.work.issue import issue_kit
from service.work.packet import reorder_packet
from service.work.print_marks import print_kit
from service.work.reorder import reorder
from service.work.workshop import Workshop
from tests.large_kit import SEGMENTS, large_manifest, release_plate
from tests.small_kit import as_bytes


def test_a_kit_of_150_segments_in_one_go(workshop: Workshop) -> None:
    release_plate(workshop)
    answer = issue_kit(workshop, read_manifest(as_bytes(large_manifest())))
    assert len(answer.segments) == SEGMENTS
    plates = print_kit(workshop, answer.number)
    assert len(pypdfium2.PdfDocument(plates)) == SEGMENTS
    with zipfile.ZipFile(io.BytesIO(engrave_kit(workshop, answer.number))) as archive:
        # The strokes of each segment, each in its profile, and the one cut file that all of them share, untouched.
        folders = Counter(name.rpartition("/")[0] for name in archive.namelist() if name.endswith(".dxf"))
    assert folders == {"": SEGMENTS, "with profile": SEGMENTS, "cut": 1}
    again = reorder(workshop, ReorderRequest(mark=answer.segments[77].number, reason="crushed"))
    with zipfile.ZipFile(io.BytesIO(reorder_packet(workshop, again.id))) as archive:
        assert "work-sheet.pdf" in archive.namelist()
