"""Withdraw a bad revision: it is not cut any more, and every piece that was cut from it is found."""

from __future__ import annotations

from schemas.answers import WithdrawalAnswer, WithdrawnPieceAnswer
from service.errors import RevisionWithdrawn
from service.store import cutfiles, events
from service.work.once import NO_RETRY, Retry, once
from service.work.release import revision_on_record
from service.work.shown import revision_answer
from service.work.workshop import SERVICE, Actor, Workshop


def withdraw_revision(
    workshop: Workshop,
    name: str,
    letter: str,
    reason: str,
    *,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> WithdrawalAnswer:
    """Withdraw a revision and name every piece that was cut from it.

    Raises:
        CutFileUnknown, RevisionUnknown: not on record.
        RevisionWithdrawn: it is withdrawn already.
    """
    found = revision_on_record(workshop, name, letter)
    with workshop.database.write() as connection:

        def work() -> WithdrawalAnswer:
            row = cutfiles.revision_by_id(connection, found.id)
            assert row is not None
            if row.withdrawn_at is not None:
                raise RevisionWithdrawn(
                    f"it was withdrawn on {row.withdrawn_at}: {row.withdrawn_reason}",
                    field="revision",
                    value=row.letter,
                    todo="Look at its pieces on the page of the cut file",
                )
            now = workshop.now()
            cutfiles.withdraw_revision(connection, row.id, now, reason)
            pieces = cutfiles.pieces_cut_from(connection, row.id)
            withdrawn = cutfiles.revision_by_id(connection, row.id)
            assert withdrawn is not None
            answer = WithdrawalAnswer(
                revision=revision_answer(withdrawn),
                pieces=tuple(
                    WithdrawnPieceAnswer(
                        number=segment.number,
                        key=piece.key,
                        set=piece.set_number,
                        count=piece.count,
                        condition=piece.condition,
                    )
                    for segment, piece in pieces
                ),
            )
            events.record(
                connection,
                at=now,
                actor=actor.name,
                verb="withdraw",
                subject=row.cut_file,
                before={"revision": row.letter, "withdrawn_at": None},
                after=answer.model_dump(mode="json"),
            )
            return answer

        return once(connection, retry, WithdrawalAnswer, workshop.now(), work)


def pieces_cut_from(workshop: Workshop, name: str, letter: str) -> tuple[WithdrawnPieceAnswer, ...]:
    """Every piece that was cut from a revision, withdrawn or not."""
    row = revision_on_record(workshop, name, letter)
    with workshop.database.read() as connection:
        return tuple(
            WithdrawnPieceAnswer(
                number=segment.number,
                key=piece.key,
                set=piece.set_number,
                count=piece.count,
                condition=piece.condition,
            )
            for segment, piece in cutfiles.pieces_cut_from(connection, row.id)
        )
