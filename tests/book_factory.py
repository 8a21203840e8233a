"""Paper books for tests."""

from __future__ import annotations

from functools import cache
from typing import Any

from service.marks.book import Book, BookMaterial, CodeWords
from service.marks.book_joint import BookJoint
from service.marks.book_segment import BookPiece, BookRevision, BookSegment
from service.numbering.check import check_digits
from service.outlines.drawing import Drawing
from tests.part_factory import GREEN, make_drawing, star_segment

SHA = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
OLDER_SHA = "2c26b46b68ffc68ff99b453c1d30413413422d706483bfa0f98a5e886266e7ae"
KIT = "OSV4-FC1-A500"


def make_revision(**changes: Any) -> BookRevision:
    """Revision B of a cut file, with what ``changes`` says otherwise."""
    fields: dict[str, Any] = {
        "letter": "B",
        "released_on": "2031-03-04",
        "sha256": SHA,
        "changed": "the joint to SW2-U4",
        "note": "stronger dovetails",
        "withdrawn": "",
    }
    return BookRevision(**(fields | changes))


def make_book_segment(*, ordinal: int = 3, **changes: Any) -> BookSegment:
    """A quarter of a star wheel on the upper deck, with what ``changes`` says otherwise."""
    body = f"{KIT}-SW2-U{ordinal}"
    fields: dict[str, Any] = {
        "number": f"{body}-{check_digits(body)}",
        "key": "K7M4XRAW",
        "place": f"SW2-U{ordinal}",
        "assembly_code": "SW2",
        "assembly": "discharge star wheel",
        "deck": "upper",
        "position": f"segment {ordinal} of 4",
        "hand": "LEFT",
        "quantity": 1,
        "material": "UHMW-PE",
        "colour": "green",
        "colour_rgb": GREEN,
        "thickness_mm": 25.0,
        "measured_thickness_mm": 25.2,
        "mass_kg": 3.214,
        "marked_face": "",
        "cut_file": f"osv4-fc1-a500-sw2-u{ordinal}.dxf",
        "revision": "B",
        "built": "B",
        "outline": SHA,
        "home_kit": KIT,
        "serves": (),
        "revisions": (
            make_revision(letter="-", sha256=OLDER_SHA, changed="", note="initial release", withdrawn=""),
            make_revision(),
        ),
        "pieces": (
            BookPiece(key="P3HW9TCP", set_number=1, count=1, revision="B", condition="fitted", deviations="edge eased"),
        ),
        "joints": (
            BookJoint(
                number="OSV4-FC1-A500-SW2-U4-39",
                place="SW2-U4",
                form="dovetail, 0.15 mm a side",
                here=(("-", 0), ("B", 1)),
                there=(("-", 0), ("A", 0), ("C", 1)),
                neighbour_built="revision C",
            ),
        ),
    }
    return BookSegment(**(fields | changes))


def make_book(**changes: Any) -> Book:
    """A kit of one segment, with what ``changes`` says otherwise."""
    fields: dict[str, Any] = {
        "kit": KIT,
        "retired": "",
        "container": "tall round 500 mL",
        "container_code": "A500",
        "container_facts": (("Content", "500 mL"), ("Height", "212 mm")),
        "serves": (),
        "customer": "Tarnquill Waters",
        "plant": "Ostrey Vale",
        "machine": "filler-capper OSV4-FC1",
        "turns": "clockwise seen from above",
        "born": "line 4",
        "now": "line 7",
        "colour": "green",
        "colour_rgb": GREEN,
        "issued_on": "2031-03-04",
        "ledger": f"{OLDER_SHA}:17",
        "shop_name": "the shop",
        "shop_address": "1 Router Lane",
        "shop_telephone": "+00 555 0142",
        "codes": CodeWords(
            plant="OSV Ostrey Vale",
            line="line 4",
            machine="filler-capper",
            machine_class="FC filler-capper",
            container="A500 tall round 500 mL, 500 mL",
            assemblies=(("SW", "star wheel"),),
            decks=(("U", "upper"),),
        ),
        "segments": (make_book_segment(),),
        "spent": (),
        "materials": (BookMaterial(name="UHMW-PE", density_g_cm3=0.93, alpha_per_k=200e-6, max_continuous_c=80.0),),
        "cautions": (
            "Isolate and lock out the machine before hands go in.",
            "Follow your site's procedures and local law; this tool does not authorise work.",
        ),
    }
    return Book(**(fields | changes))


@cache
def outlines() -> dict[str, Drawing]:
    """The drawing that the segments of these books name."""
    return {SHA: make_drawing(star_segment(pockets=24, pitch_radius_mm=400, pocket_mm=68, segments=4, ordinal=1))}
