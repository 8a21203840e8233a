"""What a text says as a legacy mark, beside what it says as a number or key; where both speak, none is picked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection

from service.numbering.outcome import Candidate, Outcome, Reading
from service.rules.legacy_marks import foldings
from service.store import segments
from service.store.alias_subjects import named_by
from service.store.aliases import AliasRow, SubjectKind, aliases_named

LONGEST_MARK = 120
"""Characters of the longest legacy mark that is kept; a longer text is none."""

CALLED_SO = "the legacy mark"
"""How the words begin that say of a candidate that it is called so."""

_SETTLED: tuple[Outcome, ...] = ("exact", "repaired")


def legacy_reading(connection: Connection, text: str, found: Reading | None) -> Reading | None:
    """The reading with the legacy marks that the text is counted in.

    One that names a segment alone is that segment, and the note says so. Where the text is more than one thing, all of
    them are candidates; so is a thing that is no segment, as the groups of a number that designate it.

    Args:
        connection: the records of one moment.
        text: as typed or scanned.
        found: what it says as a number or key; None if it can be neither.

    Returns:
        ``found`` itself when nobody ever called anything so.
    """
    rows = aliases_named(connection, foldings(text)) if len(text) <= 2 * LONGEST_MARK else ()
    if not rows:
        return found
    names = named_by(connection, rows)
    legacy = _candidates(rows, names)
    if found is not None and found.outcome in _SETTLED:
        own = _number(connection, found)
        others = [candidate for candidate in legacy if candidate.number != own]
        if not others:
            return found
        as_it_reads = Candidate(
            number=found.number if found.key is None else None,
            key=found.key,
            repairs=found.repairs,
            assumed=("it is the number or key that it reads as",),
        )
        return _offered([as_it_reads, *others], found)
    if found is not None and found.outcome == "candidates":
        named = {candidate.number for candidate in legacy}
        return _offered([*legacy, *(one for one in found.candidates if one.number not in named or one.key)], found)
    (first, *more) = legacy
    if more or first.number is None:
        return _offered(legacy, found)
    return Reading("repaired", number=first.number, note=f"Legacy mark '{rows[0].text}' of {first.number}")


def _candidates(rows: Sequence[AliasRow], names: Mapping[tuple[SubjectKind, int], str]) -> list[Candidate]:
    """One for each thing that is called so, in the order in which that was recorded."""
    made: dict[tuple[SubjectKind, int], Candidate] = {}
    for row in rows:
        subject = (row.kind, row.subject_id)
        said = f"{CALLED_SO} '{row.text}' of this {row.kind} is meant" + (f" ({row.source})" if row.source else "")
        name = names[subject]
        number, part = (name, None) if row.kind == "segment" else (None, name)
        before = made.get(subject)
        made[subject] = Candidate(number=number, part=part, assumed=(*(before.assumed if before else ()), said))
    return list(made.values())


def _number(connection: Connection, found: Reading) -> str | None:
    """The number of the segment that a text settled on."""
    if found.number is not None or found.key is None:
        return found.number
    owner = segments.key_owner(connection, found.key)
    return owner.number if owner else None


def _offered(candidates: Sequence[Candidate], found: Reading | None) -> Reading:
    if len(candidates) == 1:
        note = "This is a legacy mark of the one thing below, which is no segment"
    elif any(candidate.number or candidate.key for candidate in candidates):
        note = "It is a legacy mark of one thing and may be another; which is meant only the part in hand can say"
    else:
        note = "Several things bear this legacy mark"
    return Reading("candidates", candidates=tuple(candidates), note=note, source=found.source if found else "number")
