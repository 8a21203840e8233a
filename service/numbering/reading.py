"""The tolerant reader: what a person typed or a scanner sent, taken for the number or key that it is.

1. Take off what stands around the mark (``peeling``), and all but letters and digits (``cleaning``).
2. Read them as a number (``lookalikes``) and as a key. What was issued among these settles it.
3. Only when nothing was: undo a keyboard layout (``wedge``) and undo one slip (``mending``). What a slip gives is
   offered and never picked.

The records are asked once for a text as it is printed, and at most twice more for any other, each time for all that the
text may be at once.
"""

from __future__ import annotations

from collections.abc import Iterable

from service.errors import BadNumber
from service.numbering.answers import EXACT, offered, taken, unknown
from service.numbering.check import is_valid
from service.numbering.cleaning import Traced
from service.numbering.grammar import CANONICAL
from service.numbering.outcome import Candidate, Outcome, PartRegister, Reading, Register, Repair, Source, merged
from service.numbering.parts import read_part
from service.numbering.proposals import Proposal, Proposals, mended, propose
from service.numbering.tables import DEFAULT_TABLES, CodeTables
from service.numbering.wedge import retyped

__all__ = [
    "LONGEST_TEXT",
    "Candidate",
    "Outcome",
    "PartRegister",
    "Reading",
    "Register",
    "Repair",
    "Source",
    "read",
]

LONGEST_TEXT = 512
"""Characters of the longest text that is read."""

_MOST_ASKED = 1000


def read(text: str, *, register: Register, tables: CodeTables = DEFAULT_TABLES) -> Reading:
    """What a text says.

    Args:
        text: a number, a key, a link that ends in either, or a message of an ISO/IEC 15434 envelope; as typed, dictated
            or scanned.
        register: the records.
        tables: the shop's code tables.

    Raises:
        BadCharacter: a character that no number or key holds, by its position in ``text``.
        BadNumber: an empty text, or one longer than :data:`LONGEST_TEXT`.
    """
    if CANONICAL.fullmatch(text) and is_valid(text) and text in register.issued_numbers((text,)):
        return Reading("exact", number=text, note=EXACT)
    _require_readable(text)
    straight = propose(Traced.of(text), tables)
    alive = _alive(straight.found.values(), register)
    if alive and not straight.half_bad:
        return _settled(alive, straight, register, tables)
    return _searched(text, straight, alive, register, tables)


def _require_readable(text: str) -> None:
    if not text or text.isspace():
        what, todo = "the mark is empty", "Type or scan a mark"
    elif len(text) > LONGEST_TEXT:
        what, todo = f"a mark has at most {LONGEST_TEXT} characters, not {len(text)}", "Type or scan one mark alone"
    else:
        return
    raise BadNumber(what, field="mark", value=text, todo=todo)


def _alive(proposals: Iterable[Proposal], register: Register) -> list[Proposal]:
    """The proposals that were issued, the nearest first."""
    nearest = sorted(proposals, key=lambda proposal: proposal.nearness)[:_MOST_ASKED]
    numbers = {proposal.text for proposal in nearest if proposal.kind == "number"}
    keys = {proposal.text for proposal in nearest if proposal.kind == "key"}
    issued = {
        "number": frozenset(register.issued_numbers(numbers)) if numbers else frozenset(),
        "key": frozenset(register.issued_keys(keys)) if keys else frozenset(),
    }
    return [proposal for proposal in nearest if proposal.text in issued[proposal.kind]]


def _settled(alive: list[Proposal], straight: Proposals, register: Register, tables: CodeTables) -> Reading:
    """What a straight text says when some of its readings were issued."""
    if straight.both:
        return _of_both(alive, assumed=())
    one = alive[0]
    nearest = [proposal.candidate() for proposal in alive if proposal.tier == one.tier]
    nearest += _parts(one, straight, register, tables)
    if len(nearest) > 1:
        return offered(nearest, one.source)
    if one.tier > 1 or one.rival:
        rivals = [rival.candidate() for rival in _alive(mended(straight, tables), register) if rival.text != one.text]
        if rivals or one.tier == 2:
            return offered([*nearest, *rivals], one.source)
    return _taken([one], assumed=())


def _parts(one: Proposal, straight: Proposals, register: Register, tables: CodeTables) -> list[Candidate]:
    """The run of groups that a key also is, if it stands in an issued number."""
    if one.kind != "key" or one.repairs or not isinstance(register, PartRegister):
        return []
    found = {part.printed for cleaned, _, _ in straight.cleaned if (part := read_part(cleaned, tables))}
    issued = register.issued_parts(sorted(found)) if found else ()
    return [Candidate(part=part, assumed=("a part of a number is meant",)) for part in sorted(issued)]


def _of_both(alive: list[Proposal], *, assumed: tuple[str, ...]) -> Reading:
    """What a message with a number and a key says: both when both were issued, else what was issued, as an offer."""
    numbers = [proposal for proposal in alive if proposal.kind == "number"]
    keys = [proposal for proposal in alive if proposal.kind == "key"]
    nearest = [proposal for found in (numbers, keys) for proposal in found if proposal.tier == found[0].tier]
    if len(nearest) == 2 and numbers and keys:
        return _taken(nearest, assumed=assumed)
    if not (numbers and keys):
        assumed = (*assumed, f"the {'key' if numbers else 'number'} of the message is wrong: it was never issued")
    offers = [proposal.candidate() for proposal in nearest]
    return offered(
        (Candidate(offer.number, offer.key, offer.repairs, (*offer.assumed, *assumed)) for offer in offers),
        nearest[0].source,
    )


def _taken(proposals: list[Proposal], *, assumed: tuple[str, ...]) -> Reading:
    """The answer that takes a number, a key, or one of each."""
    texts = {proposal.kind: proposal.text for proposal in proposals}
    return taken(
        number=texts.get("number"),
        key=texts.get("key"),
        repairs=merged(*(repair for proposal in proposals for repair in proposal.repairs)),
        assumed=(*assumed, *(clause for proposal in proposals for clause in proposal.assumed)),
        source=proposals[0].source,
    )


def _searched(text: str, straight: Proposals, known: list[Proposal], register: Register, tables: CodeTables) -> Reading:
    """What a text says when its straight readings do not settle it; ``known`` are those that were issued."""
    as_typed = {origin.retyped: propose(origin, tables, look_alikes=False) for origin in retyped(Traced.of(text))}
    scanned = [proposal for found in as_typed.values() for proposal in found.found.values()]
    slips = mended(straight, tables)
    alive = _alive((*scanned, *slips), register)
    if not alive and known:
        return _settled(known, straight, register, tables)
    if not alive:
        return unknown(straight, as_typed.values(), tables)
    # Signs that make no number or key as they stand, but do on another keyboard, leave no doubt what happened.
    for layout, found in as_typed.items():
        sent = [proposal for proposal in alive if proposal in found.found.values()]
        others = any(proposal in scanned and proposal not in sent for proposal in alive)
        if sent and not others and not _well_formed(straight):
            assumed = (f"a scanner typed it on a {layout} keyboard layout",)
            if found.both:
                return _of_both(sent, assumed=assumed)
            if len(sent) == 1:
                return _taken(sent, assumed=assumed)
    likeliest = sorted(alive, key=lambda proposal: (proposal not in scanned, *proposal.nearness))
    return offered((proposal.candidate() for proposal in likeliest), likeliest[0].source)


def _well_formed(straight: Proposals) -> bool:
    """Whether the text is a number with a check, or a key, just as it stands."""
    if straight.half_bad:
        return False
    return any(typed.check and not typed.repairs for typed, _ in straight.typed) or any(
        proposal.kind == "key" and proposal.tier == 0 for proposal in straight.found.values()
    )
