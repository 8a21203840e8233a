"""Engravings on record: neighbours and decks from the store, what the archive holds, what the ledger says."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from pathlib import Path

import pytest
from ezdxf import recover

from service.errors import LintFailed
from service.marks.cutters import Cutter
from service.store import events, kits
from service.work.engrave import engrave_kit, engrave_segment, preview_engraving
from service.work.engraving_room import place_text
from service.work.placement import EngravedPart, parts_to_engrave
from service.work.plates import segment_plates
from service.work.read import find_active
from service.work.workshop import Workshop
from tests.demo_data import copied, fill, open_workshop

KIT = "OSV4-FC1-A500"
SMALL_KIT = "MRG1-LB1-A12"
NUMBER_U3 = "OSV4-FC1-A500-SW2-U3-42"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demonstration shop."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    fill(folder)
    return folder


@pytest.fixture
def demo(shop: Path, tmp_path: Path) -> Workshop:
    """The demonstration shop, for a test that writes."""
    return open_workshop(copied(shop, tmp_path / "shop"))


def part_of(workshop: Workshop, number: str) -> EngravedPart:
    with workshop.database.read() as connection:
        plates = segment_plates(workshop, connection, find_active(connection, number, field="number"))
        return parts_to_engrave(connection, plates)[0]


def test_the_archive_of_a_kit_holds_each_cut_file_with_and_without_its_engraving(demo: Workshop) -> None:
    with zipfile.ZipFile(io.BytesIO(engrave_kit(demo, SMALL_KIT))) as archive:
        head, *lines = archive.read("engravings.tsv").decode().splitlines()
        rows = [dict(zip(head.split("\t"), line.split("\t"), strict=True)) for line in lines]
        names = set(archive.namelist())
        # Every file is as its sum says.
        sums = dict(line.split("  ")[::-1] for line in archive.read("SHA256SUMS").decode().splitlines())
        assert set(sums) == names - {"SHA256SUMS"}
        assert all(hashlib.sha256(archive.read(name)).hexdigest() == digest for name, digest in sums.items())
        for row in rows:
            assert {row["file"], f"with profile/{row['file']}"} <= names
            place = "-".join(row["number"].split("-")[3:5]).lower()
            (kept,) = [name for name in names if name.startswith(f"cut/{SMALL_KIT.lower()}-{place}-rev-")]
            released, engraved = archive.read(kept), archive.read(f"with profile/{row['file']}")
            # All lines of the released file are there, but for the counter of the next free handle.
            assert set(released.splitlines()) - set(engraved.splitlines()) <= counters(released)
            document, auditor = recover.read(io.BytesIO(engraved))
            assert not auditor.errors
            assert {"CUT", "ENGRAVE_TEXT", "ENGRAVE_REV"} <= {entity.dxf.layer for entity in document.modelspace()}
            assert float(row["revision_mark_mm"]) > 0
    records = {record["number"]: record for record in recorded(demo, SMALL_KIT)}
    assert set(records) == {row["number"] for row in rows}
    for row in rows:
        record = records[row["number"]]
        assert (record["rung"], record["margins"]) == (row["rung"], row["margins"])
        assert record["cutter"] == "straight cutter 0.5 mm, 0.4 mm deep"
        assert record["cap_height_mm"] == float(row["cap_height_mm"])


@pytest.mark.parametrize(
    ("place", "margins", "seen", "hand"),
    [("SW2-U3", "zone", True, ""), ("SW2-L3", "full", False, ""), ("RL1-U1", "full", True, "LEFT"),
     ("RL1-U2", "full", True, "RIGHT")],
)  # fmt: skip
def test_decks_zones_and_hands_come_from_the_record(
    demo: Workshop, place: str, margins: str, *, seen: bool, hand: str
) -> None:
    with demo.database.read() as connection:
        kit = kits.find_kit(connection, KIT)
        assert kit is not None
        number = next(row.number for row in kits.kit_segments(connection, kit.id) if row.place == place)
    record = place_text(part_of(demo, number)).record()
    assert (record["margins"], record["seen"], record["hand"]) == (margins, seen, hand)


def recorded(workshop: Workshop, subject: str) -> list[dict[str, object]]:
    """What the ledger says of the last engraving that was made."""
    with workshop.database.read() as connection:
        made = [event.after or "" for event in events.events_of(connection, subject) if event.verb == "engrave"]
    found: list[dict[str, object]] = json.loads(next(after for after in reversed(made) if "engraved" in after))[
        "engraved"
    ]
    return found


def counters(data: bytes) -> set[bytes]:
    """The counter of the next free handle."""
    lines = data.splitlines()
    return {lines[index + 2] for index, line in enumerate(lines) if line.strip() == b"$HANDSEED"}


def test_the_chosen_cutter_cuts_and_is_on_record(demo: Workshop) -> None:
    vee = Cutter(kind="vee", diameter_mm=3.0, depth_mm=0.6, angle_deg=60.0, tip_mm=0.1)
    assert engrave_segment(demo, NUMBER_U3, form="dxf", cutter=vee)
    assert recorded(demo, NUMBER_U3)[0]["cutter"] == vee.words
    assert vee.words in engrave_segment(demo, NUMBER_U3, form="svg", cutter=vee).decode()
    with pytest.raises(LintFailed):
        engrave_segment(demo, NUMBER_U3, form="dxf", cutter=Cutter(kind="flat", diameter_mm=3.0, depth_mm=20.0))


def test_a_part_is_engraved_as_its_piece_was_cut_between_those_that_stand_beside_it(demo: Workshop) -> None:
    part = part_of(demo, NUMBER_U3)
    assert (part.revision, part.hand, part.material) == ("A", None, "UHMW-PE")
    # Three more quarters of the upper deck, nothing over them, four quarters under them.
    assert (len(part.neighbours), len(part.above), len(part.others)) == (3, 0, 4)
    placed = place_text(part)
    assert len(placed.face.neighbours) == 2
    assert placed.face.axis is not None
    assert placed.face.axis.known_by == "hub"
    assert placed.revision is not None
    assert placed.revision.letter == "A"


def test_a_preview_is_a_picture_and_nothing_goes_on_record(demo: Workshop) -> None:
    with demo.database.read() as connection:
        before = events.newest(connection)
    picture = preview_engraving(demo, NUMBER_U3)
    assert b'id="ENGRAVE_TEXT"' in picture
    assert b'class="joint"' in picture
    with demo.database.read() as connection:
        assert events.newest(connection) == before
