"""Resolve a segment: everything on record about it, on one page."""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.answers import ContainerAnswer, MachineAnswer, NeighbourAnswer, SegmentAnswer
from service.rules.joints import Member, joint_history
from service.rules.lifting import cautions
from service.store import codes, cutfiles, kits, marks, pieces, segments, sharing
from service.store.values import KitRow, SegmentRow
from service.work.aliases_shown import aliases_of
from service.work.mark_facts import deck_word, segment_of, segment_positions
from service.work.members import members_around
from service.work.read import Found, find_mark
from service.work.shown import mark_answer, piece_answer, revision_answer
from service.work.workshop import Workshop


def resolve_mark(workshop: Workshop, text: str) -> SegmentAnswer:
    """The segment that a number, key, link or message names, with all that is known of it.

    Raises:
        MarkUnknown, AmbiguousMark: nothing or several things bear this mark.
    """
    with workshop.database.read() as connection:
        return segment_answer(connection, find_mark(connection, text, field="number"))


def kit_of(connection: Connection, segment: SegmentRow) -> KitRow:
    """The kit that numbered a segment."""
    kit = kits.find_kit(connection, segment.kit_number)
    assert kit is not None
    return kit


def position_of(connection: Connection, segment: SegmentRow) -> tuple[int, int] | None:
    """Which one of how many on its deck, places given up left out; None for a place that was given up."""
    places = segment_positions(
        (row.assembly_id, row.deck, row.ordinal)
        for row in kits.kit_segments(connection, segment.kit_id)
        if not row.voided
    )
    return places.get((segment.assembly_id, segment.deck, segment.ordinal))


def segment_answer(connection: Connection, found: Found) -> SegmentAnswer:
    """Everything on record about the segment that was found."""
    segment = found.segment
    kit = kit_of(connection, segment)
    revisions = cutfiles.revisions(connection, segment.cut_file_id)
    retirement = sharing.retirement_of(connection, kit.id)
    usable = [row.letter for row in revisions if row.withdrawn_at is None]
    return SegmentAnswer(
        number=segment.number,
        key=segment.key,
        place=segment.place,
        kit=segment.kit_number,
        customer=kit.plant.customer,
        plant=kit.plant.name,
        machine=MachineAnswer(
            designation=kit.number.rsplit("-", 1)[0],
            name=kit.machine.name,
            rotation=kit.machine.rotation,
            born_on=kit.born_line.name,
            now_on=kit.stands_on,
        ),
        container=ContainerAnswer(
            code=kit.container.code,
            name=kit.container.name,
            nominal=kit.container.nominal,
            unit=kit.container.unit,
            shape=kit.container.shape,
            height_mm=kit.container.height_mm,
        ),
        assembly=segment.assembly_name,
        assembly_code=f"{segment.assembly_code}{segment.assembly_ordinal}",
        deck=deck_word(codes.code_tables(connection), segment.deck),
        segment_of=segment_of(position_of(connection, segment)),
        hand=segment.hand,
        quantity=segment.quantity,
        material=segment.material,
        stock_colour=segment.stock_colour,
        thickness_mm=segment.thickness_mm,
        measured_thickness_mm=segment.measured_thickness_mm,
        mass_kg=segment.mass_kg,
        marked_face=segment.marked_face,
        status="voided" if segment.voided else "active",
        void_reason=segment.void_reason,
        kit_status="retired" if kit.retired else "issued",
        retired_at=retirement.retired_at if retirement else None,
        retired_reason=retirement.reason if retirement else None,
        cut_file=segment.cut_file,
        revision=segment.revision,
        current_revision=usable[-1] if usable else None,
        revisions=tuple(revision_answer(row) for row in revisions),
        pieces=tuple(piece_answer(piece) for piece in pieces.pieces_of(connection, segment.id)),
        neighbours=_neighbours(connection, found),
        marks=tuple(mark_answer(mark) for mark in marks.marks_of(connection, segment.id)),
        serves=tuple(number for number in segments.serves(connection, segment.id) if number != segment.kit_number),
        aliases=aliases_of(connection, "segment", segment.id),
        cautions=cautions(segment.mass_kg),
    )


def _neighbours(connection: Connection, found: Found) -> tuple[NeighbourAnswer, ...]:
    """The other side of each joint: of the named piece's set, else over all sets in which the segment is fitted."""
    segment = found.segment
    if found.piece is not None:
        arounds = [members_around(connection, segment, damaged=found.piece, reach=1)]
    else:
        fitted = pieces.as_built(connection, [segment.id])[segment.id]
        sets: list[int | None] = [*sorted({piece.set_number for piece in fitted})] or [None]
        arounds = [members_around(connection, segment, set_number=number, reach=1) for number in sets]
    answers = []
    for joint in segments.joints_of(connection, segment.id):
        end = joint.other(segment.id)
        pairs = [(around.members[segment.number], around.members.get(end.number)) for around in arounds]
        met = [(here, there) for here, there in pairs if there is not None]
        if not met:
            continue
        builds = {there.as_built for _, there in met}
        locks = [_locks(here, there) for here, there in met]
        answers.append(
            NeighbourAnswer(
                number=end.number,
                place=end.place,
                form=joint.form,
                clearance_mm=joint.clearance_mm,
                inferred=joint.inferred,
                as_built=builds.pop() if len(builds) == 1 else None,
                locks=False if False in locks else None if None in locks else True,
            )
        )
    return tuple(answers)


def _locks(here: Member, there: Member) -> bool | None:
    """Whether the fitted pieces carry the same revision of their joint; None where a build is not known."""
    if here.as_built is None or there.as_built is None:
        return None
    history = joint_history(here, there)
    return history.level(here, here.as_built) == history.level(there, there.as_built)
