"""Shared parts: a segment that stays on the machine for a further kit, and one that does so no more."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy import Connection

from schemas.answers import KitAnswer
from schemas.pieces import ShareRequest, UnshareRequest
from service.errors import BadRequest, Contradiction, KitRetired, LintFailed, SegmentShared
from service.marks.content import link
from service.marks.worst_case import WIDEST_KEY
from service.store import events, interfaces, kits, sharing
from service.store.values import KitRow, SegmentRow
from service.work.mark_lint import lint_facts
from service.work.once import NO_RETRY, Retry, once
from service.work.plates import kit_on_record, plate_of
from service.work.read import find_active, find_mark
from service.work.resolve import kit_of
from service.work.show_kit import kit_answer
from service.work.workshop import SERVICE, Actor, Workshop


def share_segment(
    workshop: Workshop, number: str, request: ShareRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> KitAnswer:
    """Let a segment of another kit serve an issued kit too; sharing it a second time changes nothing.

    Raises:
        KitUnknown, MarkUnknown, AmbiguousMark, PlaceVoided: kit or segment is not settled.
        KitRetired: one of the two kits is out of use.
        BadRequest: the segment is the kit's own, another customer's, or its place is taken.
        LintFailed: the nameplate has no room to say for whom the part stays on.
        Contradiction: the kits are for two machines, and nobody has recorded that they are the same there.
    """
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            kit = kit_on_record(connection, number)
            segment = find_active(connection, request.number, field="number").segment
            if not sharing.is_shared(connection, kit.id, segment.id):
                _may_share(connection, kit, segment)
                sharing.share(connection, kit.id, segment.id)
                _refuse_unprintable(workshop, connection, segment)
                kits.raise_version(connection, kit.id, None)
                _record(workshop, connection, actor, "share", segment, kit, after={"serves": kit.number})
            return kit_answer(connection, kit.number)

        return once(connection, retry, KitAnswer, workshop.now(), work)


def unshare_segment(
    workshop: Workshop, number: str, request: UnshareRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> KitAnswer:
    """The segment serves this kit no more; the journal keeps that it did.

    Raises:
        KitUnknown, MarkUnknown, AmbiguousMark: kit or segment is not settled.
        BadRequest: the segment does not serve this kit.
        SegmentShared: segments of this kit interlock with it.
    """
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            kit = kit_on_record(connection, number)
            segment = find_mark(connection, request.number, field="number").segment
            if not sharing.is_shared(connection, kit.id, segment.id):
                raise BadRequest(
                    f"this segment of {segment.kit_number} does not serve {kit.number} besides",
                    field="number",
                    value=segment.number,
                    todo="Look at the kit for the segments that it shares",
                )
            joined = sharing.joined_in_kit(connection, kit.id, segment.id)
            if joined:
                raise SegmentShared(
                    f"{', '.join(joined)} of this kit {'interlocks' if len(joined) == 1 else 'interlock'} with it",
                    field="number",
                    value=segment.number,
                    todo="Void those places first",
                )
            sharing.unshare(connection, kit.id, segment.id)
            kits.raise_version(connection, kit.id, None)
            _record(
                workshop,
                connection,
                actor,
                "unshare",
                segment,
                kit,
                before={"serves": kit.number},
                after={"serves": None, "reason": request.reason},
            )
            return kit_answer(connection, kit.number)

        return once(connection, retry, KitAnswer, workshop.now(), work)


def _may_share(connection: Connection, kit: KitRow, segment: SegmentRow) -> None:
    home = kit_of(connection, segment)
    for one in (kit, home):
        if one.retired:
            raise KitRetired(
                "a retired kit shares nothing", field="kit", value=one.number, todo="Use parts of kits in use"
            )
    if home.id == kit.id:
        raise BadRequest(
            "this segment is the kit's own", field="number", value=segment.number, todo="Name one of another kit"
        )
    if home.plant.customer_id != kit.plant.customer_id:
        raise BadRequest(
            f"this segment belongs to {home.plant.customer}, another customer than {kit.plant.customer}",
            field="number",
            value=segment.number,
            todo="Give the segment its own number in this kit",
        )
    if home.machine.id != kit.machine.id:
        _known_to_be_the_same(connection, kit, home, segment)
    taken = [row for row in kits.kit_segments(connection, kit.id) if not row.voided]
    taken += kits.shared_into(connection, kit.id)
    for row in taken:
        if row.place == segment.place:
            raise BadRequest(
                f"{row.number} stands on {segment.place} of this kit already",
                field="number",
                value=segment.number,
                todo="Void that place first, if the shared segment is to take it",
            )


def _known_to_be_the_same(connection: Connection, kit: KitRow, home: KitRow, segment: SegmentRow) -> None:
    """A part serves two machines only by somebody's word that they are the same where it meets them."""
    assembly = f"{segment.assembly_code}{segment.assembly_ordinal}"
    words = interfaces.standing(connection, kit.machine.id, home.machine.id)
    if not any(word.assembly in (assembly, segment.assembly_code) for word in words):
        raise Contradiction(
            f"{home.number} and {kit.number} are for two machines, and nobody has recorded that they are the same "
            f"where {assembly} meets them",
            field="number",
            value=segment.number,
            todo="Compare both machines and record what was found to be the same, or give the segment its own number",
        )


def _refuse_unprintable(workshop: Workshop, connection: Connection, segment: SegmentRow) -> None:
    """The lint of the mark, as at issue: nothing is shared that its plate cannot say."""
    facts = plate_of(workshop, connection, segment, None).facts
    findings = lint_facts(
        workshop.templates, [replace(facts, key=WIDEST_KEY, link=link(workshop.public_url, WIDEST_KEY))]
    )
    if any(finding.level == "error" for finding in findings):
        raise LintFailed(findings)


def _record(
    workshop: Workshop,
    connection: Connection,
    actor: Actor,
    verb: str,
    segment: SegmentRow,
    kit: KitRow,
    *,
    before: dict[str, object] | None = None,
    after: dict[str, object],
) -> None:
    """The change in the journals of the segment and of the kit."""
    for subject in (segment.number, kit.number):
        events.record(
            connection,
            at=workshop.now(),
            actor=actor.name,
            verb=verb,
            subject=subject,
            before=None if before is None else {"segment": segment.number, **before},
            after={"segment": segment.number, **after},
        )
