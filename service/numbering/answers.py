"""The answers of the tolerant reader, with the sentence that a person reads."""

from __future__ import annotations

from collections.abc import Iterable

from service.numbering.check import check_digits
from service.numbering.lookalikes import Typed
from service.numbering.outcome import Candidate, Reading, Repair, Source, read_out
from service.numbering.parts import read_part
from service.numbering.proposals import Proposal, Proposals
from service.numbering.tables import CodeTables

__all__ = ["EXACT", "offered", "taken", "unknown"]

EXACT = "Issued, and read as it stands"
_MOST_OFFERED = 50


def taken(
    *,
    number: str | None,
    key: str | None,
    repairs: tuple[Repair, ...],
    assumed: tuple[str, ...],
    source: Source,
) -> Reading:
    """The one issued number, key or both that a text says: exact, or repaired when anything was done or assumed."""
    if not (repairs or assumed):
        return Reading("exact", number, key, note=EXACT, source=source)
    done = ", ".join(map(str, repairs))
    sentences = [f"Read with {done}"] if done else []
    sentences += [f"assumed that {clause}" for clause in assumed]
    note = "; ".join(sentences)
    return Reading("repaired", number, key, repairs, note=note[0].upper() + note[1:], source=source)


def offered(candidates: Iterable[Candidate], source: Source) -> Reading:
    """What a person has to choose from, best first; the first of two equal ones stays."""
    distinct: dict[tuple[str | None, str | None, str | None], Candidate] = {}
    for candidate in candidates:
        distinct.setdefault((candidate.number, candidate.key, candidate.part), candidate)
    few = tuple(distinct.values())[:_MOST_OFFERED]
    found = "One mark on record comes near" if len(few) == 1 else f"{len(few)} marks on record come near"
    note = f"{found}; compare with the piece before one is taken"
    return Reading("candidates", candidates=few, note=note, source=source)


def unknown(straight: Proposals, as_typed: Iterable[Proposals], tables: CodeTables) -> Reading:
    """What a text says when nothing near it was issued.

    Args:
        straight: what the text gave when it was read straight.
        as_typed: what it gave under each keyboard layout.
        tables: the shop's code tables.

    Raises:
        BadCharacter: the text holds a character that no number or key holds, and nothing explains it.
    """
    fitting = [(typed, source) for found in as_typed for typed, source in found.typed if typed.fits]
    keys = [proposal for proposal in straight.found.values() if proposal.kind == "key" and proposal.tier == 0]
    readable = [(typed, source) for typed, source in straight.typed if not typed.optional]
    if straight.complaint and not (readable or fitting or keys):
        raise straight.complaint
    if keys:
        return _key_never_issued(keys[0], straight, tables)
    if readable or fitting:
        return _number_never_issued(*min(readable or fitting, key=lambda pair: _likelihood(pair[0])), tables=tables)
    for cleaned, _, source in straight.cleaned:
        part = read_part(cleaned, tables)
        if part:
            note = f"{part.printed} is a part of a number; ask for the groups before and after it"
            return Reading("unknown", groups=read_out(part.halves, tables), note=note, source=source)
    source = straight.cleaned[0][2] if straight.cleaned else "number"
    return Reading("unknown", note="This reads neither as a number nor as a key", source=source)


def _likelihood(typed: Typed) -> tuple[int, int, int]:
    check = 0 if typed.fits else 1 if typed.check is None else 2
    return check, typed.broken, len(typed.repairs)


def _key_never_issued(proposal: Proposal, straight: Proposals, tables: CodeTables) -> Reading:
    note = f"{proposal.text[:4]}-{proposal.text[4:]} is a well-formed key that was never issued"
    part = next((part for cleaned, _, _ in straight.cleaned if (part := read_part(cleaned, tables))), None)
    if part is None:
        return Reading("unknown", note=note, source=proposal.source)
    note += f"; it also reads as {part.printed}, a part of a number"
    return Reading("unknown", groups=read_out(part.halves, tables), note=note, source=proposal.source)


def _number_never_issued(typed: Typed, source: Source, *, tables: CodeTables) -> Reading:
    if typed.check is None:
        note = f"{typed.body}-{check_digits(typed.body)} was never issued; the text has no check digits"
    elif typed.fits:
        note = f"{typed.body}-{typed.check} is well formed but was never issued"
    else:
        note = f"The check digits {typed.check} do not fit {typed.body}, and no issued number is one slip away"
    return Reading("unknown", repairs=typed.repairs, groups=read_out(typed.named(), tables), note=note, source=source)
