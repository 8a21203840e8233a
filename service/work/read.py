"""Read a mark: what a person typed or a scanner sent, against what was issued."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from schemas.answers import CandidateAnswer, GroupAnswer, ReadAnswer, ReadManyAnswer, RepairAnswer
from service.errors import AmbiguousMark, BadInput, MarkUnknown, PlaceVoided
from service.numbering.outcome import Candidate, Reading, Repair
from service.numbering.reading import read
from service.store import codes, pieces, segments
from service.store.register import DatabaseRegister
from service.store.values import PieceRow, SegmentRow
from service.work.legacy_reading import legacy_reading
from service.work.workshop import Workshop


@dataclass(frozen=True, slots=True)
class Found:
    """The one segment that a mark names, and the piece when the mark was its key."""

    segment: SegmentRow
    piece: PieceRow | None
    reading: Reading


def read_exact(workshop: Workshop, text: str) -> str | None:
    """The number when the text is one that was issued, exactly as it is printed; None otherwise.

    With its hyphens in their places nothing else on record can be meant, so no further look is needed.
    """
    number = text.strip()
    return None if workshop.exact.by_number(number) is None else number


def read_mark(workshop: Workshop, text: str) -> ReadAnswer:
    """What a mark says; raises BadCharacter pointing at a character that no mark can hold."""
    number = read_exact(workshop, text)
    if number is not None:
        return exact_answer(number)
    with workshop.database.read() as connection:
        return _answer(connection, reading(connection, text))


def _read_or_refused(connection: Connection, text: str) -> ReadAnswer:
    try:
        return _answer(connection, reading(connection, text))
    except BadInput as error:
        return ReadAnswer(outcome="unknown", number=None, key=None, repairs=(), candidates=(), note=str(error))


def read_marks(workshop: Workshop, texts: Sequence[str]) -> ReadManyAnswer:
    """What many marks say; one that holds an impossible character is unknown and its note says why."""
    numbers = {text: text.strip() for text in texts}
    issued = workshop.exact.issued(numbers.values())
    answers = {text: exact_answer(number) for text, number in numbers.items() if number in issued}
    others = [text for text in numbers if text not in answers]
    if others:
        with workshop.database.read() as connection:
            answers.update((text, _read_or_refused(connection, text)) for text in others)
    return ReadManyAnswer(readings=tuple(answers[text] for text in texts))


def exact_answer(number: str) -> ReadAnswer:
    """The answer for a number as it is printed."""
    return ReadAnswer(outcome="exact", number=number, key=None, repairs=(), candidates=())


def reading(connection: Connection, text: str) -> Reading:
    """The tolerant reader over the records of one moment, legacy marks included.

    Raises:
        BadCharacter: a character that no number or key holds, in a text that is no legacy mark either.
        BadNumber: an empty text, or one that is too long.
    """
    try:
        own = read_own(connection, text)
    except BadInput:
        legacy = legacy_reading(connection, text, None)
        if legacy is None:
            raise
        return legacy
    return legacy_reading(connection, text, own) or own


def read_own(connection: Connection, text: str) -> Reading:
    """The tolerant reader without legacy marks: what a text says as a number or key of this shop; raises the same."""
    found = read(text, register=DatabaseRegister(connection), tables=codes.code_tables(connection))
    if found.number is not None and found.key is not None:
        owner = _number_of(connection, found.key)
        if owner != found.number:
            return Reading(
                outcome="candidates",
                candidates=(
                    Candidate(number=found.number, assumed=("the number is right and the key is another's",)),
                    Candidate(key=found.key, assumed=("the key is right and the number is another's",)),
                ),
                note=f"The number is {found.number}, but the key belongs to {owner}: no such mark was made",
                source=found.source,
            )
    return found


def _answer(connection: Connection, found: Reading) -> ReadAnswer:
    """A reading as it crosses the edge, the number of each key's segment added."""
    return ReadAnswer(
        outcome=found.outcome,
        number=found.number or _number_of(connection, found.key),
        key=found.key,
        repairs=_repairs(found.repairs),
        candidates=tuple(
            CandidateAnswer(
                number=candidate.number or _number_of(connection, candidate.key),
                key=candidate.key,
                part=candidate.part,
                repairs=_repairs(candidate.repairs),
                assumed=candidate.assumed,
            )
            for candidate in found.candidates
        ),
        groups=tuple(GroupAnswer(group=group, says=says) for group, says in found.groups),
        note=found.note,
    )


def _number_of(connection: Connection, key: str | None) -> str | None:
    owner = segments.key_owner(connection, key) if key is not None else None
    return owner.number if owner is not None else None


def _repairs(repairs: Sequence[Repair]) -> tuple[RepairAnswer, ...]:
    return tuple(RepairAnswer(position=repair.position, read=repair.read, as_=repair.as_) for repair in repairs)


def find_mark(connection: Connection, text: str, *, field: str = "mark") -> Found:
    """The one segment that a mark names.

    Raises:
        MarkUnknown: nothing on record bears it.
        AmbiguousMark: several do, or a repair would have to be guessed; none is picked.
    """
    found = reading(connection, text)
    if found.outcome == "candidates":
        names = [candidate.number or candidate.key or candidate.part or "" for candidate in found.candidates]
        raise AmbiguousMark(
            found.note.rstrip(".") or "several segments fit",
            field=field,
            value=text,
            todo="Ask which of them it is, and send its whole number or key",
            candidates=names,
        )
    if found.key is not None:
        owner = segments.key_owner(connection, found.key)
        assert owner is not None
        segment = segments.segment_by_id(connection, owner.segment_id)
        piece = pieces.piece_by_key(connection, found.key) if owner.piece_id is not None else None
    else:
        segment = segments.find_segment(connection, found.number) if found.number else None
        piece = None
    if segment is None:
        raise MarkUnknown(
            found.note.rstrip(".") or "nothing on record bears this mark",
            field=field,
            value=text,
            todo="Read it again group by group, or search with the part that is sure",
        )
    return Found(segment, piece, found)


def find_active(connection: Connection, text: str, *, field: str = "mark") -> Found:
    """The one segment that a mark names, as long as its place was not given up; raises PlaceVoided otherwise."""
    found = find_mark(connection, text, field=field)
    if found.segment.voided:
        raise PlaceVoided(
            f"this place was given up: {found.segment.void_reason}",
            field=field,
            value=found.segment.number,
            todo="Look at the kit for the numbers that took its place",
        )
    return found
