"""A kit is made again: a further set has the same numbers, its own pieces, and its own as-built revisions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import Connection

from schemas.pieces import SetAnswer, SetRequest, SetSegmentAnswer
from service.errors import BadRequest, LintFailed
from service.findings import Finding
from service.numbering.tables import CodeTables
from service.store import codes, cutfiles, events, kits, pieces, segments
from service.store.new_kit import NewPiece
from service.store.values import KitRow, PieceRow, RevisionRow, SegmentRow
from service.work.issue import fresh_keys
from service.work.members import only_revision
from service.work.once import NO_RETRY, Retry, once
from service.work.out_of_use import refuse_retired
from service.work.plates import kit_on_record
from service.work.set_joints import joints_that_do_not_lock
from service.work.set_revisions import chosen_revisions
from service.work.shown import finding_answers
from service.work.workshop import SERVICE, Actor, Workshop


@dataclass(frozen=True, slots=True)
class _Planned:
    """A set as it would be made."""

    kit: KitRow
    number: int
    made_at: str
    own: tuple[SegmentRow, ...]
    shared: tuple[SegmentRow, ...]
    revisions: Mapping[int, RevisionRow]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> bool:
        return any(finding.level == "error" for finding in self.findings)


def prepare_set(workshop: Workshop, number: str, request: SetRequest) -> SetAnswer:
    """The dry run: the set's number, its revisions and every finding; makes nothing.

    Raises:
        KitUnknown, MarkUnknown, AmbiguousMark: kit, or a segment named in the request, is not settled.
    """
    with workshop.database.read() as connection:
        planned = _plan(connection, number, request, workshop.now())
        return _answer(planned, request, "refused" if planned.errors else "prepared", {})


def make_set(
    workshop: Workshop, number: str, request: SetRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> SetAnswer:
    """Put a further set on record, whole, in one transaction.

    Raises:
        KitUnknown, MarkUnknown, AmbiguousMark: kit, or a segment named in the request, is not settled.
        KitRetired: the kit is out of use, and no reason is given.
        LintFailed: a revision is withdrawn or unknown, or a joint of the set does not lock; every one is named.
        BadRequest: every place of the kit was given up, or the set was made in the future.
    """
    with workshop.database.write() as connection:

        def work() -> SetAnswer:
            now = workshop.now()
            planned = _plan(connection, number, request, now)
            kit = planned.kit
            refuse_retired(connection, kit.number, what="make set", override=request.override, actor=actor, now=now)
            if planned.errors:
                raise LintFailed(planned.findings)
            keys = fresh_keys(connection, sum(row.quantity == 1 for row in planned.own))
            new = {row.id: _new_piece(row, planned, request, keys) for row in planned.own}
            pieces.add_pieces(connection, list(new.items()))
            kits.raise_version(connection, kit.id, None)
            answer = _answer(planned, request, "made", {id_: piece.key for id_, piece in new.items()})
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="make set",
                subject=kit.number,
                before={"sets": list(pieces.sets_of_kit(connection, kit.id))[:-1]},
                after=answer.model_dump(mode="json", exclude={"findings", "status"}),
            )
            return answer

        return once(connection, retry, SetAnswer, workshop.now(), work)


def _plan(connection: Connection, number: str, request: SetRequest, now: str) -> _Planned:
    kit = kit_on_record(connection, number)
    own = tuple(row for row in kits.kit_segments(connection, kit.id) if not row.voided)
    if not own:
        raise BadRequest(
            "every place of this kit was given up", field="kit", value=kit.number, todo="Add segments to the kit first"
        )
    findings: list[Finding] = []
    shared = kits.shared_into(connection, kit.id)
    tables: CodeTables = codes.code_tables(connection)
    releases = cutfiles.revisions_of(connection, {row.cut_file_id for row in (*own, *shared)})
    revisions = chosen_revisions(own, releases, request.revisions, tables, findings)
    built = {row.id: only_revision(fitted) for row, fitted in _fitted(connection, shared)}
    letters = {row.id: revisions[row.id].letter for row in own if row.id in revisions}
    findings += joints_that_do_not_lock(
        (*own, *shared), releases, {**built, **letters}, segments.kit_joints(connection, kit.id), own=set(letters)
    )
    return _Planned(
        kit=kit,
        number=max(pieces.sets_of_kit(connection, kit.id), default=0) + 1,
        made_at=_day(request.made_at, now),
        own=own,
        shared=shared,
        revisions=revisions,
        findings=tuple(findings),
    )


def _fitted(connection: Connection, rows: Sequence[SegmentRow]) -> Iterable[tuple[SegmentRow, tuple[PieceRow, ...]]]:
    fitted = pieces.as_built(connection, [row.id for row in rows])
    return ((row, fitted[row.id]) for row in rows)


def _day(made_at: date | None, now: str) -> str:
    """The day on which a set was made; it may be tomorrow by the shop's own clock, never later."""
    today = date.fromisoformat(now[:10])
    if made_at is not None and made_at > today + timedelta(days=1):
        raise BadRequest(
            "this day is still to come", field="made_at", value=made_at, todo="Put the set on record once it is made"
        )
    return (made_at or today).isoformat()


def _new_piece(row: SegmentRow, planned: _Planned, request: SetRequest, keys: Iterator[str]) -> NewPiece:
    return NewPiece(
        key=next(keys) if row.quantity == 1 else None,
        set_number=planned.number,
        count=row.quantity,
        revision_id=planned.revisions[row.id].id,
        condition="fitted",
        made_at=planned.made_at,
        material_batch=request.material_batch,
    )


def _answer(planned: _Planned, request: SetRequest, status: str, keys: Mapping[int, str | None]) -> SetAnswer:
    return SetAnswer.model_validate(
        {
            "kit": planned.kit.number,
            "set": planned.number,
            "status": status,
            "findings": finding_answers(planned.findings),
            "segments": tuple(
                SetSegmentAnswer(
                    number=row.number,
                    place=row.place,
                    cut_file=row.cut_file,
                    revision=planned.revisions[row.id].letter,
                    quantity=row.quantity,
                    keys=tuple(filter(None, (keys.get(row.id),))),
                )
                for row in planned.own
                if row.id in planned.revisions
            ),
            "shared": tuple(row.number for row in planned.shared),
            "material_batch": request.material_batch,
            "made_at": planned.made_at,
        }
    )
