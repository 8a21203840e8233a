"""A table of legacy marks goes in: every line that can, in one transaction; the others are named with the reason."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field

from pydantic import ValidationError
from sqlalchemy import Connection

from schemas.alias_table import NAMING, AliasLine, AliasTable, read_alias_table
from schemas.aliases import AliasLinePart
from schemas.answers.aliases import ImportAnswer, RefusedLineAnswer
from schemas.faults import findings_of
from service.errors import BadCsv, BadFields, BadRequest, Contradiction, KitwrightError, shown
from service.store import aliases, events
from service.store.aliases import AliasRow, NewAlias, SubjectKind
from service.work.alias_subjects import Subject
from service.work.aliases import alias_event, folded_or_refused, refuse_own
from service.work.line_subjects import LineSubjects
from service.work.once import NO_RETRY, Retry, once
from service.work.workshop import SERVICE, Actor, Workshop

MOST_BYTES = 10_000_000
"""Fifty thousand lines have some 5 MB."""

SUBJECT = "legacy marks"
"""The subject of the journal's line about a table as a whole."""


@dataclass(slots=True)
class _Look:
    """What would become of each line."""

    new: list[tuple[NewAlias, Subject]] = field(default_factory=list)
    already: int = 0
    refused: list[RefusedLineAnswer] = field(default_factory=list)


def import_marks(
    workshop: Workshop,
    data: bytes,
    *,
    prepare_only: bool = False,
    actor: Actor = SERVICE,
    retry: Retry = NO_RETRY,
) -> ImportAnswer:
    """Put the marks of a table on record. The same table again changes nothing and writes nothing.

    Args:
        workshop: where the records are.
        data: the table as it came.
        prepare_only: only say what would become of it.
        actor: who sent it.
        retry: the request as it is known again.

    Raises:
        BadCsv: the table as a whole cannot be read.
    """
    table = read_alias_table(data)
    if prepare_only:
        with workshop.database.read() as connection:
            return _answer(table, _look(connection, table), "prepared")
    with workshop.database.write() as connection:

        def work() -> ImportAnswer:
            look, now = _look(connection, table), workshop.now()
            if look.new:
                made = aliases.add_aliases(connection, [(new, 1) for new, _ in look.new], by=actor.name, at=now)
                whole = events.NewEvent(
                    at=now,
                    actor=actor.name,
                    verb="import marks",
                    subject=SUBJECT,
                    after={
                        "table_sha256": hashlib.sha256(data).hexdigest(),
                        "lines": len(table.lines),
                        "added": len(made),
                        "already": look.already,
                        "refused": len(look.refused),
                    },
                )
                named = zip(made, look.new, strict=True)
                each = (alias_event(row, subject.designation) for row, (_, subject) in named)
                events.record_many(connection, [whole, *each])
            return _answer(table, look, "imported")

        return once(connection, retry, ImportAnswer, workshop.now(), work)


def _answer(table: AliasTable, look: _Look, status: str) -> ImportAnswer:
    reasons = {one.line: f"{one.column} {shown(one.value)}: {one.message}. {one.todo}.".strip() for one in look.refused}
    return ImportAnswer.model_validate(
        {
            "status": status,
            "lines": len(table.lines),
            "added": len(look.new),
            "already": look.already,
            "refused": tuple(look.refused),
            "refused_csv": table.refused(reasons),
        }
    )


@dataclass(frozen=True, slots=True)
class _Read:
    """A line whose cells are right; what they name is looked for."""

    line: int
    column: str
    part: AliasLinePart


def _look(connection: Connection, table: AliasTable) -> _Look:
    look = _Look()
    read = [one for line in table.lines if (one := _read(line, look.refused)) is not None]
    found = LineSubjects(connection, [one.part for one in read])
    named: list[tuple[_Read, NewAlias, Subject]] = []
    for one in read:
        try:
            subject = found.subject(one.part)
        except KitwrightError as error:
            column = error.field if error.field in ("kit", "place", "kind") and one.column == "kit" else one.column
            look.refused.append(_refused(one.line, error, column))
            continue
        try:
            new = _new(connection, one.part, subject)
        except KitwrightError as error:
            look.refused.append(_refused(one.line, error, "mark"))
            continue
        named.append((one, new, subject))
    before = _said(connection, [new for _, new, _ in named])
    fresh: set[tuple[SubjectKind, int, str]] = set()
    for one, new, subject in named:
        said = (new.kind, new.subject_id, new.folded)
        last = before.get(said)
        if said in fresh or (last is not None and last.wrong is None):
            look.already += 1
        elif last is None:
            fresh.add(said)
            look.new.append((new, subject))
        else:
            look.refused.append(_refused(one.line, _marked_wrong(one.part.mark, last), "mark"))
    look.refused.sort(key=lambda refused: refused.line)
    return look


def _new(connection: Connection, part: AliasLinePart, subject: Subject) -> NewAlias:
    new = NewAlias(
        kind=subject.kind,
        subject_id=subject.id,
        text=part.mark,
        folded=folded_or_refused(part.mark),
        source=part.source,
        note=part.note,
    )
    refuse_own(connection, part.mark)
    return new


def _said(connection: Connection, new: Iterable[NewAlias]) -> dict[tuple[SubjectKind, int, str], AliasRow]:
    """What of this is on record already, the last time that it was said."""
    asked: dict[SubjectKind, list[tuple[int, str]]] = {}
    for one in new:
        asked.setdefault(one.kind, []).append((one.subject_id, one.folded))
    return {
        (kind, *said): row
        for kind, some in asked.items()
        for said, row in aliases.last_said(connection, kind, some).items()
    }


def _marked_wrong(mark: str, row: AliasRow) -> Contradiction:
    assert row.wrong is not None
    return Contradiction(
        f"this was marked wrong on {row.wrong.at[:10]}: {row.wrong.reason}",
        field="mark",
        value=mark,
        todo="Leave the line out; if it holds after all, put it on record by itself",
    )


def _read(line: AliasLine, refused: list[RefusedLineAnswer]) -> _Read | None:
    """The cells of a line held against their form; None, and a reason more, when they are not right."""
    named = [column for column in NAMING if column in line.cells]
    try:
        if line.broken:
            raise BadCsv(
                f"the line cannot be read: {line.broken}",
                field="",
                value=line.cells.get("mark", ""),
                todo="Check its quotes and what parts its cells",
            )
        _require_one_name(line, named)
        cells = {name: cell for name, cell in line.cells.items() if name not in NAMING}
        try:
            part = AliasLinePart.model_validate({**cells, **({"of": line.cells[named[0]]} if named else {})})
        except ValidationError as error:
            raise BadFields(findings_of(error, rule="bad_fields")) from error
    except KitwrightError as error:
        column = named[0] if named and error.field == "of" else error.field
        refused.append(_refused(line.line, error, column))
        return None
    return _Read(line.line, named[0] if named else "kit", part)


def _require_one_name(line: AliasLine, named: list[str]) -> None:
    """A line says once what its mark names."""
    if not named and "kit" not in line.cells:
        raise BadRequest(
            "the line does not say what bears the mark",
            field="place" if "place" in line.cells else "of",
            value=line.cells.get("place"),
            todo="Give a number, a key or a designation, or the kit and the place in it",
        )
    if len(named) > 1 or (named and {"kit", "place"} & line.cells.keys()):
        raise BadRequest(
            "the line says in more than one way what bears the mark",
            field=named[0],
            value=line.cells[named[0]],
            todo="Leave one of them: a number, a key or a designation, or the kit and the place in it",
        )


def _refused(line: int, error: KitwrightError, column: str) -> RefusedLineAnswer:
    return RefusedLineAnswer(
        line=line,
        column=column,
        value="" if error.value is None else str(error.value),
        code=error.code,
        message=error.what,
        todo=error.todo,
    )
