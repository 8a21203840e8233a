"""Legacy marks: put on record beside the numbers, looked for, and marked wrong where they do not hold."""

from __future__ import annotations

from sqlalchemy import Connection

from schemas.aliases import AliasRequest, AliasWrongRequest
from schemas.answers.aliases import AliasAnswer, AliasListAnswer
from service.errors import AliasUnknown, BadInput, BadRequest, Contradiction
from service.numbering.grammar import COMPACT
from service.numbering.key import Key
from service.rules.legacy_marks import folded
from service.store import aliases, events
from service.store.alias_subjects import named_by
from service.store.aliases import AliasRow, NewAlias, SubjectKind, WrongRow
from service.work.alias_subjects import kind_of, subject_of
from service.work.aliases_shown import alias_answer, alias_answers
from service.work.once import NO_RETRY, Retry, once
from service.work.read import read_own
from service.work.workshop import SERVICE, Actor, Workshop


def add_alias(
    workshop: Workshop, request: AliasRequest, *, actor: Actor = SERVICE, retry: Retry = NO_RETRY
) -> AliasAnswer:
    """Put a legacy mark on record.

    Raises:
        BadRequest: nothing in it can be looked for, or it is a number or key of this shop.
        Contradiction: the same thing is called so already.
        BadCharacter, BadNumber, UnknownCode, MarkUnknown, AmbiguousMark, KitUnknown, MachineUnknown, PlaceUnknown,
            ContainerUnknown: ``of`` names nothing, or several things.
    """
    with workshop.database.write() as connection:

        def work() -> AliasAnswer:
            subject = subject_of(connection, request.kind, request.of)
            new = NewAlias(
                kind=subject.kind,
                subject_id=subject.id,
                text=request.text,
                folded=folded_or_refused(request.text),
                source=request.source,
                note=request.note,
            )
            refuse_own(connection, request.text)
            before = aliases.last_said(connection, new.kind, [(new.subject_id, new.folded)])
            last = before.get((new.subject_id, new.folded))
            if last is not None and last.wrong is None:
                raise Contradiction(
                    f"{subject.designation} is called so already, since {last.at[:10]}: '{last.text}'",
                    field="text",
                    value=request.text,
                    todo="Nothing needs to be done",
                )
            now = workshop.now()
            (row,) = aliases.add_aliases(connection, [(new, last.said + 1 if last else 1)], by=actor.name, at=now)
            events.record_many(connection, [alias_event(row, subject.designation)])
            return alias_answer(row, subject.designation)

        return once(connection, retry, AliasAnswer, workshop.now(), work)


def folded_or_refused(text: str) -> str:
    """The text as it is looked for; raises BadRequest when nothing of it is left."""
    found = folded(text)
    if not found:
        raise BadRequest(
            "it has neither a letter nor a digit, so nobody could look for it",
            field="text",
            value=text,
            todo="Describe the sign in words",
        )
    return found


def refuse_own(connection: Connection, text: str) -> None:
    """Refuse a text that is looked for as a number or a key of this shop is; it would have two meanings.

    Raises:
        BadRequest: it is one; whose, is said.
    """
    plain = folded(text).upper()
    if not _may_be_own(plain):
        return
    try:
        found = read_own(connection, plain)
    except BadInput:
        return
    if found.outcome == "exact":
        what = found.number or f"the key {found.key}"
        raise BadRequest(
            f"this is {what}, which this shop gave itself",
            field="text",
            value=text,
            todo="Give only marks that this shop did not give",
        )


def _may_be_own(plain: str) -> bool:
    """Whether it is worth asking the records: a key, or the groups of a whole number."""
    try:
        Key.parse(plain)
    except BadInput:
        return COMPACT.fullmatch(plain) is not None
    return True


def alias_event(row: AliasRow, designation: str) -> events.NewEvent:
    """The line of the journal for an alias that was put on record."""
    after = {"kind": row.kind, "text": row.text, "source": row.source, "note": row.note, "id": row.id}
    return events.NewEvent(at=row.at, actor=row.by, verb="alias", subject=designation, after=after)


def mark_alias_wrong(
    workshop: Workshop,
    alias_id: int,
    request: AliasWrongRequest,
    *,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> AliasAnswer:
    """A legacy mark does not hold: it stays on record and finds nothing any more.

    Raises:
        AliasUnknown: no alias has this id.
        Contradiction: it was marked wrong before.
    """
    with workshop.database.write() as connection:

        def work() -> AliasAnswer:
            row = aliases.alias_by_id(connection, alias_id)
            if row is None:
                raise AliasUnknown(
                    "no legacy mark has this id",
                    field="alias_id",
                    value=alias_id,
                    todo="Take the id from the list of legacy marks",
                )
            if row.wrong is not None:
                raise Contradiction(
                    f"it was marked wrong on {row.wrong.at[:10]}: {row.wrong.reason}",
                    field="alias_id",
                    value=alias_id,
                    todo="Nothing needs to be done",
                )
            wrong = WrongRow(request.reason, actor.name, workshop.now())
            aliases.mark_wrong(connection, alias_id, wrong)
            name = named_by(connection, [row])[row.kind, row.subject_id]
            events.record(
                connection,
                at=wrong.at,
                actor=actor.name,
                verb="alias wrong",
                subject=name,
                before={"id": row.id, "text": row.text},
                after={"id": row.id, "text": row.text, "reason": request.reason},
            )
            marked = aliases.alias_by_id(connection, alias_id)
            assert marked is not None
            return alias_answer(marked, name)

        return once(connection, retry, AliasAnswer, workshop.now(), work)


def list_aliases(
    workshop: Workshop,
    *,
    text: str | None = None,
    kind: SubjectKind | None = None,
    of: str | None = None,
    after: int = 0,
    limit: int = 50,
) -> AliasListAnswer:
    """Legacy marks that hold a text anywhere in them, or all marks of one thing, or of things of one sort.

    Raises:
        BadRequest: nothing in the text can be looked for.
        MarkUnknown and the like: ``of`` names nothing, as for ``add_alias``.
    """
    with workshop.database.read() as connection:
        subject = None if of is None else subject_of(connection, kind or kind_of(of), of)
        rows = aliases.alias_page(
            connection,
            part=None if text is None else folded_or_refused(text),
            kind=subject.kind if subject else kind,
            subject_id=subject.id if subject else None,
            after=after,
            limit=limit,
        )
        return AliasListAnswer(aliases=alias_answers(connection, rows))
