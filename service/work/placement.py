"""What a mark is engraved on: the outline of its piece, and what stands round and over it in the machine."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from service.store import cutfiles, kits, segments
from service.store.values import SegmentRow
from service.work.plates import Plate

DECKS = ("L", "M", "U", "K")
"""From the machine's table upward."""


@dataclass(frozen=True, slots=True)
class EngravedPart:
    """One mark to be engraved: plain values, for a rendering process. Drawings are those kept at the release.

    Attributes:
        number: of the segment.
        key: of the piece, or of the segment.
        hand: LEFT or RIGHT; None where the segment has none.
        revision: the letter that the piece is cut from.
        material: of the sheet.
        thickness_mm: of the sheet, as measured where it was.
        drawing: the outline.
        neighbours: the other outlines of its deck in the assembly, and what a joint on record ties it to.
        above: the outlines of the next deck of its assembly.
        others: the further outlines of its assembly.
    """

    number: str
    key: str
    hand: str | None
    revision: str
    material: str
    thickness_mm: float
    drawing: bytes
    neighbours: tuple[bytes, ...]
    above: tuple[bytes, ...]
    others: tuple[bytes, ...]


def parts_to_engrave(
    connection: Connection, plates: Sequence[Plate], *, revision: tuple[int, str] | None = None
) -> tuple[EngravedPart, ...]:
    """What each mark is engraved on, in the order of the marks.

    Neighbours are drawn as the segments were issued; the marks' own outline is that of the piece, where it is known.

    Args:
        connection: one moment of the records.
        plates: the marks.
        revision: row id and letter of the revision that all of them are cut from, where an order says so.
    """
    beside = _Surroundings(connection, {plate.segment.kit_id for plate in plates})
    own = [revision or _revision(plate) for plate in plates]
    rows = [(beside.neighbours(plate.segment), *beside.decks(plate.segment)) for plate in plates]
    wanted = {revision_id for revision_id, _ in own}
    wanted.update(row.revision_id for groups in rows for group in groups for row in group)
    drawings = cutfiles.drawing_bytes(connection, wanted)

    def drawn(group: Iterable[SegmentRow]) -> tuple[bytes, ...]:
        return tuple(drawings[row.revision_id] for row in group)

    return tuple(
        EngravedPart(
            number=plate.facts.number,
            key=plate.facts.key,
            hand=plate.segment.hand,
            revision=letter,
            material=plate.segment.material,
            thickness_mm=plate.segment.measured_thickness_mm or plate.segment.thickness_mm,
            drawing=drawings[revision_id],
            neighbours=drawn(neighbours),
            above=drawn(above),
            others=drawn(others),
        )
        for plate, (revision_id, letter), (neighbours, above, others) in zip(plates, own, rows, strict=True)
    )


def _revision(plate: Plate) -> tuple[int, str]:
    piece = plate.piece
    if piece is not None and piece.revision_id is not None and piece.revision is not None:
        return piece.revision_id, piece.revision
    return plate.segment.revision_id, plate.segment.revision


class _Surroundings:
    """The segments in use of some kits, by assembly, and what their joints tie together."""

    def __init__(self, connection: Connection, kit_ids: Iterable[int]) -> None:
        self._assemblies: defaultdict[int, list[SegmentRow]] = defaultdict(list)
        ties: list[tuple[int, int]] = []
        known: dict[int, SegmentRow] = {}
        for kit_id in sorted(kit_ids):
            for row in kits.kit_segments(connection, kit_id):
                known[row.id] = row
                if not row.voided:
                    self._assemblies[row.assembly_id].append(row)
            ties += [(joint.first.id, joint.second.id) for joint in segments.kit_joints(connection, kit_id)]
        abroad = {end for tie in ties for end in tie} - set(known)
        known.update(segments.segments_by_ids(connection, abroad))
        self._tied: Mapping[int, list[SegmentRow]] = _tied(ties, known)

    def neighbours(self, row: SegmentRow) -> list[SegmentRow]:
        """The same deck of the assembly, and what a joint ties it to."""
        same = [other for other in self._assemblies[row.assembly_id] if other.deck == row.deck and other.id != row.id]
        ids = {other.id for other in same}
        return same + [other for other in self._tied.get(row.id, ()) if other.id not in ids and not other.voided]

    def decks(self, row: SegmentRow) -> tuple[list[SegmentRow], list[SegmentRow]]:
        """The next deck above, and all others of the assembly."""
        rest = [other for other in self._assemblies[row.assembly_id] if other.deck != row.deck]
        if row.deck not in DECKS:
            return [], rest
        higher = [deck for deck in DECKS[DECKS.index(row.deck) + 1 :] if any(other.deck == deck for other in rest)]
        above = [other for other in rest if higher and other.deck == higher[0]]
        return above, [other for other in rest if other not in above]


def _tied(ties: Iterable[tuple[int, int]], known: Mapping[int, SegmentRow]) -> Mapping[int, list[SegmentRow]]:
    found: defaultdict[int, list[SegmentRow]] = defaultdict(list)
    for one, other in ties:
        if one in known and other in known:
            found[one].append(known[other])
            found[other].append(known[one])
    return found
