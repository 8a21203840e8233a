"""Placing the engraving of forty outlines of the demonstration, beside the plain search for upright text on them.

The yardstick looks for the largest rectangle that stands upright as drawn, with one margin all round. Placement finds
joints, pockets, the axis and the shadow of the deck above, searches every direction that the rule allows at each spot,
and places the letter of the revision.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from service.errors import NoEngravingRoom
from service.marks.engraving import plan_engraving
from service.marks.placed import place_engraving
from service.outlines.drawing import Drawing
from service.outlines.face import face_of
from tests.bench.rounds import Comparison, Contestant
from tests.outlines.assembly import drawings, surroundings
from tests.plain_room import Room

OUTLINES = 40
NUMBER, KEY = "OSV4-FC1-A500-SW2-U3-42", "K7M4XRAW"


@contextmanager
def comparisons(*, outlines: int = OUTLINES) -> Iterator[list[Comparison]]:
    """The outlines, spread over all assemblies of the kit."""
    every = sorted(drawings())
    places = [every[index * len(every) // outlines] for index in range(outlines)]
    yield [
        Comparison(
            title=f"The engraving of {outlines} outlines of the demonstration",
            unit="outline",
            yardstick=Contestant(
                name="upright as drawn, one margin",
                run=lambda: _upright([drawings()[place] for place in places]),
                count=outlines,
            ),
            others=[
                Contestant(name="joints, pockets, axis and decks alone", run=lambda: _faces(places), count=outlines),
                Contestant(name="placed by the rule, with the revision", run=lambda: _placed(places), count=outlines),
            ],
        )
    ]


def _upright(parts: Sequence[Drawing]) -> int:
    found = 0
    for drawing in parts:
        try:
            plan_engraving(number=NUMBER, key=KEY, room=Room(drawing, angles_deg=(0.0,)).rectangle)
        except NoEngravingRoom:
            continue
        found += 1
    return found


def _faces(places: Sequence[str]) -> int:
    return len([face_of(drawings()[place], surroundings(place)) for place in places])


def _placed(places: Sequence[str]) -> int:
    faces = [face_of(drawings()[place], surroundings(place)) for place in places]
    return len([place_engraving(face, number=NUMBER, key=KEY, revision="B", material="UHMW-PE") for face in faces])
