"""What the lines of a table name: all of them asked for at once, and only what is written exactly is taken.

A table is not looked at line by line by a person, so no misread sign is mended here: what would have to be is refused,
with what it may mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from sqlalchemy import Connection

from schemas.aliases import AliasLinePart
from service.errors import AmbiguousMark, BadInput, BadRequest, KitwrightError, MarkUnknown, PlaceUnknown
from service.numbering.key import Key
from service.store import segments
from service.store.alias_subjects import designations, segment_ids, segments_by_key
from service.store.aliases import SubjectKind
from service.work.alias_subjects import Subject, subject_of
from service.work.plates import kit_on_record
from service.work.read import read_own

F = TypeVar("F")
_Kit = tuple[Subject, dict[str, Subject]]
"""A kit, and its segments by their places without the hyphen."""


class LineSubjects:
    """The subjects of the lines of one table; the same thing is looked for once."""

    def __init__(self, connection: Connection, parts: Sequence[AliasLinePart]) -> None:
        self._connection = connection
        self._found: dict[tuple[SubjectKind, str], Subject | KitwrightError] = {}
        self._kits: dict[str, _Kit | KitwrightError] = {}
        marks = {part.of for part in parts if part.of and (part.kind or "segment") == "segment"}
        self._numbers = segment_ids(connection, {mark.upper() for mark in marks})
        self._keys = segments_by_key(connection, {key for mark in marks if (key := _key(mark))})

    def subject(self, part: AliasLinePart) -> Subject:
        """What a line names.

        Raises:
            KitwrightError: nothing, or several things, as for one mark by itself; or what is written would have to be
                mended first.
        """
        if part.of is None:
            return self._in_kit(part)
        kind = part.kind or "segment"
        known = (kind, part.of)
        if known not in self._found:
            try:
                self._found[known] = (
                    self._segment(part.of) if kind == "segment" else subject_of(self._connection, kind, part.of)
                )
            except KitwrightError as error:
                self._found[known] = error
        return _or_raised(self._found[known])

    def _segment(self, text: str) -> Subject:
        printed = text.upper()
        if printed in self._numbers:
            return Subject("segment", self._numbers[printed], printed)
        key = _key(text)
        if key in self._keys:
            return Subject("segment", *self._keys[key])
        found = read_own(self._connection, text)
        number = found.number or (found.key and segments_by_key(self._connection, [found.key])[found.key][1])
        if found.outcome == "exact" and number:
            return Subject("segment", segment_ids(self._connection, [number])[number], number)
        if found.outcome == "repaired":
            raise BadRequest(
                f"it would have to be mended to be {number}",
                field="of",
                value=text,
                todo=f"Write {number} if that is what bears the mark",
            )
        if found.outcome == "candidates":
            names = [name for one in found.candidates if (name := one.number or one.key or one.part)]
            raise AmbiguousMark(
                found.note.rstrip("."), field="of", value=text, todo=f"Write {' or '.join(names[:3])}", candidates=names
            )
        raise MarkUnknown(
            found.note.rstrip(".") or "nothing on record bears this number or key",
            field="of",
            value=text,
            todo="Correct it, or say in 'kind' what else it is",
        )

    def _in_kit(self, part: AliasLinePart) -> Subject:
        assert part.kit is not None
        kind: SubjectKind = "kit" if part.place is None else "segment"
        if part.kind not in (None, kind):
            raise BadRequest(
                f"a kit{' with a place' if part.place else ''} is no {part.kind}",
                field="kind",
                value=part.kind,
                todo=f"Leave the kind empty, or give the designation of the {part.kind} instead of the kit",
            )
        kit = part.kit.upper()
        if kit not in self._kits:
            self._kits[kit] = self._kit(kit)
        whole, places = _or_raised(self._kits[kit])
        if part.place is None:
            return whole
        found = places.get(part.place.replace("-", ""))
        if found is None:
            raise PlaceUnknown(
                f"{whole.designation} has no such place",
                field="place",
                value=part.place,
                todo=f"Give one of its places, such as {next(iter(places))}" if places else "Name another kit",
            )
        return found

    def _kit(self, number: str) -> _Kit | KitwrightError:
        try:
            kit = kit_on_record(self._connection, number)
        except KitwrightError as error:
            return error
        ids = segments.places(self._connection, kit.id)
        numbers = designations(self._connection, "segment", ids.values())
        places = {place.replace("-", ""): Subject("segment", id_, numbers[id_]) for place, id_ in ids.items()}
        return Subject("kit", kit.id, kit.number), places


def _or_raised(found: F | KitwrightError) -> F:
    if isinstance(found, KitwrightError):
        raise found
    return found


def _key(text: str) -> str:
    """The key that a text is as it stands; empty when it is none."""
    try:
        return str(Key.parse(text).symbols)
    except BadInput:
        return ""
