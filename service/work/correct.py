"""Correct a typing error in an issued kit; both what stood and what stands now are on record.

Facts of a segment are corrected in place as long as no mark of it exists. Once a mark may exist the place is given up:
its number is spent for ever, and what takes its place gets the next free ordinals on its deck.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection

from schemas.answers import KitAnswer
from schemas.manifest import SegmentBody
from schemas.requests import CorrectionRequest, FactCorrection, SegmentFacts, Voiding
from service.errors import BadRequest, LintFailed, MarkExists, PlaceVoided, SegmentShared
from service.findings import Finding
from service.marks.content import link
from service.marks.worst_case import WIDEST_KEY
from service.numbering.number import KitNumber, Number, Place
from service.numbering.tables import CodeTables
from service.store import codes, cutfiles, events, kits, marks, pieces, segments
from service.store.kits import NewAssembly, NewJoint
from service.store.values import KitRow, SegmentRow
from service.work.correct_registers import correct_registers
from service.work.cutting import Cutter, DraftSegment
from service.work.issue import fresh_keys, new_segment
from service.work.joints import touching
from service.work.mark_lint import lint_facts
from service.work.once import NO_RETRY, Retry, once
from service.work.plates import kit_on_record, kit_plates, other_kits
from service.work.read import find_mark
from service.work.seen import Seen, refuse_stale
from service.work.show_kit import kit_answer
from service.work.workshop import SERVICE, Actor, Workshop


def correct_kit(
    workshop: Workshop,
    number: str,
    request: CorrectionRequest,
    *,
    seen: Seen | None = None,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> KitAnswer:
    """Correct facts and give up places, all in one transaction.

    Args:
        workshop: where the records are.
        number: the kit's number.
        request: what to correct, what to give up, and why.
        seen: the versions of the kit that the corrector looked at, None for any.
        actor: who corrects.
        retry: the request's Idempotency-Key.

    Raises:
        KitUnknown, MarkUnknown, PlaceVoided: not on record, or given up before.
        MarkExists: a fact of a segment that has a mark.
        SegmentShared: a place that other kits lean on.
        LintFailed: a corrected fact or a replacement does not pass the rules.
        StaleEdit: somebody else changed the kit since.
    """
    with workshop.database.write() as connection:

        def work() -> KitAnswer:
            kit = kit_on_record(connection, number)
            refuse_stale(seen, str(kit.version), what="this kit")
            kits.raise_version(connection, kit.id, kit.version)
            _Correction(workshop, connection, kit, request.reason, actor).carry_out(request)
            return kit_answer(connection, kit.number)

        return once(connection, retry, KitAnswer, workshop.now(), work)


class _Correction:
    """One correction of one kit inside the caller's transaction."""

    def __init__(self, workshop: Workshop, connection: Connection, kit: KitRow, reason: str, actor: Actor) -> None:
        self.workshop = workshop
        self.connection = connection
        self.kit = kit
        self.reason = reason
        self.actor = actor
        self.now = workshop.now()
        self.tables: CodeTables = codes.code_tables(connection)

    def carry_out(self, request: CorrectionRequest) -> None:
        if not request.correct and not request.void and request.kit is None:
            raise BadRequest(
                "a correction names at least one segment",
                field="correct",
                value="(nothing)",
                todo="Name what to correct, or what to give up",
            )
        for index, item in enumerate(request.correct):
            self._facts(item, f"correct[{index}]")
        for index, voiding in enumerate(request.void):
            self._void(voiding, f"void[{index}]")
        if request.kit is not None:
            for subject, before, after in correct_registers(self.connection, self.kit, request.kit):
                self._event("correct", subject, before, after)
        self._refuse_unprintable()

    def _refuse_unprintable(self) -> None:
        """The lint of the marks, as at issue: nothing is corrected into what no plate can bear."""
        plates = kit_plates(self.workshop, self.connection, self.kit.number)
        widest = link(self.workshop.public_url, WIDEST_KEY)
        findings = lint_facts(
            self.workshop.templates, (replace(plate.facts, key=WIDEST_KEY, link=widest) for plate in plates)
        )
        if any(finding.level == "error" for finding in findings):
            raise LintFailed(findings)

    def _facts(self, item: FactCorrection, here: str) -> None:
        """Change the facts that were sent, unless a mark may already say otherwise."""
        segment = self._own(item.number, f"{here}.number")
        if marks.any_mark(self.connection, [segment.id]):
            raise MarkExists(
                "a mark of this segment was made, or begun, since it was issued",
                field=f"{here}.number",
                value=segment.number,
                todo="Give the place up under 'void' and let a replacement take the next ordinal",
            )
        changes = self._changes(segment, item.facts, here)
        before = {name: getattr(segment, name) for name in changes}
        segments.correct_segment(self.connection, segment.id, changes)
        if "revision_id" in changes:
            pieces.set_revision(self.connection, segment.id, segment.revision_id, int(str(changes["revision_id"])))
        self._event("correct", segment.number, before, changes)

    def _changes(self, segment: SegmentRow, facts: SegmentFacts, here: str) -> dict[str, object]:
        """The columns to write, checked by the same rules as at issue."""
        sent = facts.model_dump(exclude_unset=True)
        if not sent:
            raise BadRequest("no fact is given", field=f"{here}.facts", value="{}", todo="Name the fact to correct")
        body = SegmentBody(
            deck=segment.deck,
            cut_file=facts.cut_file or segment.cut_file,
            revision=facts.revision or (None if facts.cut_file else segment.revision),
            material=facts.material or segment.material,
            thickness_mm=facts.thickness_mm or segment.thickness_mm,
            stock_colour=facts.stock_colour or segment.stock_colour,
        )
        drafted = self._drafted(body, self._number(segment), here)
        changes: dict[str, object] = {
            name: sent[name] for name in ("hand", "measured_thickness_mm", "marked_face") if name in sent
        }
        if "quantity" in sent and facts.quantity != segment.quantity:
            raise BadRequest(
                "the quantity decides how pieces are tracked and is not corrected in place",
                field=f"{here}.facts.quantity",
                value=facts.quantity,
                todo="Give the place up under 'void' and let a replacement take the next ordinal",
            )
        changes |= {
            "material": drafted.material,
            "thickness_mm": drafted.thickness_mm,
            "stock_colour": drafted.stock_colour,
            "mass_kg": drafted.mass_kg,
            "cut_file_id": drafted.revision.cut_file_id,
            "revision_id": drafted.revision.id,
        }
        return {name: value for name, value in changes.items() if getattr(segment, name) != value}

    def _void(self, voiding: Voiding, here: str) -> None:
        """Spend the number for ever; replacements take the next ordinals."""
        segment = self._own(voiding.number, f"{here}.number")
        leaning = other_kits(self.connection, segment)
        if leaning:
            raise SegmentShared(
                f"it serves {', '.join(leaning)} too",
                field=f"{here}.number",
                value=segment.number,
                todo="Correct those kits first",
            )
        segments.void_segment(self.connection, segment.id, self.reason)
        in_use = [p for p in pieces.pieces_of(self.connection, segment.id) if p.condition in ("fitted", "ordered")]
        for piece in in_use:
            pieces.end_piece(self.connection, piece.id, kind="voided", note=self.reason, at=self.now)
        # What takes its place is made for every set that had it.
        sets = sorted({piece.set_number for piece in in_use}) or [1]
        new = [
            self._replacement(segment, body, f"{here}.replacements[{index}]", sets)
            for index, body in enumerate(voiding.replacements)
        ]
        before = {
            "status": "active",
            "pieces": [{"key": piece.key, "count": piece.count, "condition": piece.condition} for piece in in_use],
        }
        after: dict[str, object] = {
            "status": "voided",
            "replaced_by": new,
            "pieces": [{"key": piece.key, "count": piece.count, "condition": "scrapped"} for piece in in_use],
        }
        self._event("void", segment.number, before, after)

    def _replacement(self, segment: SegmentRow, body: SegmentBody, here: str, sets: Sequence[int]) -> str:
        """A new segment in the assembly of the one that was given up; its number."""
        self.tables.name_of("deck", body.deck, place=f"{here}.deck")
        if body.shares is not None:
            raise BadRequest(
                "a replacement is cut for this kit", field=f"{here}.shares", value=body.shares, todo="Give its cut file"
            )
        ordinal = segments.highest_ordinal(self.connection, segment.assembly_id, body.deck) + 1
        place = Place(segment.assembly_code, segment.assembly_ordinal, body.deck, ordinal)
        number = Number(KitNumber.parse(self.kit.number, self.tables), place)
        drafted = self._drafted(body, number, here)
        made = new_segment(drafted, fresh_keys(self.connection, 1 + len(sets)), sets=sets)
        kits.add_segments(
            self.connection,
            self.kit.id,
            [
                NewAssembly(
                    code=segment.assembly_code,
                    ordinal=segment.assembly_ordinal,
                    name=segment.assembly_name,
                    position=segment.assembly_position,
                    segments=[made],
                )
            ],
            self._joints(segment, body.deck, drafted),
        )
        after = {
            "number": made.number,
            "key": made.key,
            "in_place_of": segment.number,
            "cut_file": drafted.revision.cut_file,
            "revision": drafted.revision.letter,
            "quantity": made.quantity,
            "material": made.material,
            "thickness_mm": made.thickness_mm,
            "pieces": [{"key": piece.key, "set": piece.set_number, "count": piece.count} for piece in made.pieces],
        }
        self._event("issue", made.number, None, after)
        return str(number)

    def _joints(self, given_up: SegmentRow, deck: str, drafted: DraftSegment) -> list[NewJoint]:
        """The joints of a replacement, read off the outlines of its deck."""
        there = [
            row
            for row in kits.kit_segments(self.connection, self.kit.id)
            if row.assembly_id == given_up.assembly_id and row.deck == deck and not row.voided
        ]
        cut = cutfiles.revision_by_ids(self.connection, {row.revision_id for row in there})
        number = drafted.printed
        parts = {row.number: cut[row.revision_id] for row in there} | {number: drafted.revision}
        pairs = touching(self.connection, [parts])
        return [
            NewJoint(first=first, second=second, inferred=True) for first, second in pairs if number in (first, second)
        ]

    def _drafted(self, body: SegmentBody, number: Number, here: str) -> DraftSegment:
        findings: list[Finding] = []
        cutter = Cutter(self.connection, [body], kit_colour=self.kit.stock_colour, findings=findings)
        drafted = cutter.segment(number, 0, body, here)
        if drafted is None or any(finding.level == "error" for finding in findings):
            raise LintFailed(findings)
        return drafted

    def _number(self, segment: SegmentRow) -> Number:
        return Number.parse(segment.number, self.tables)

    def _own(self, mark: str, field: str) -> SegmentRow:
        """The segment that is meant; it has to be one that this kit numbered and has not given up."""
        segment = find_mark(self.connection, mark, field=field).segment
        if segment.kit_id != self.kit.id:
            raise BadRequest(
                f"this segment was numbered by {segment.kit_number}",
                field=field,
                value=mark,
                todo=f"Correct it in {segment.kit_number}",
            )
        if segment.voided:
            raise PlaceVoided(
                f"this place was given up: {segment.void_reason}",
                field=field,
                value=segment.number,
                todo="Name the segment that took its place",
            )
        return segment

    def _event(self, verb: str, subject: str, before: object, after: dict[str, object]) -> None:
        events.record(
            self.connection,
            at=self.now,
            actor=self.actor.name,
            verb=verb,
            subject=subject,
            before=before,
            after={**after, "reason": self.reason},
        )
