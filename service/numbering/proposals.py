"""Everything that a text may be when it is read straight: numbers and keys, not yet asked for in the records."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from service.errors import BadCharacter
from service.numbering.check import check_digits
from service.numbering.cleaning import Cleaned, Traced, clean
from service.numbering.lookalikes import Typed, readings
from service.numbering.mending import keys_alike, mended_keys, mended_numbers, right_key
from service.numbering.outcome import Candidate, Repair, Source, merged
from service.numbering.peeling import Field, peel
from service.numbering.tables import CodeTables

__all__ = ["Proposal", "Proposals", "mended", "propose"]

_NO_CHECK = "the check digits are missing"
_SLIPS = (
    "one sign was taken for another that looks like it",
    "two neighbouring signs were swapped",
    "a sign was dropped or doubled",
    "one sign is wrong",
    "both check digits are wrong",
)
_NUMBER_LENGTHS = range(15, 31)  # a number that lost a sign, to the longest one with a sign doubled
_MOST_MENDED = 4


@dataclass(frozen=True, slots=True)
class Proposal:
    """One number or key that a text may be.

    Attributes:
        kind: what it is.
        text: the printed number, or the key without hyphen.
        repairs: what was replaced to read it so.
        assumed: what else was taken for granted.
        tier: how far the reading goes from the text: 0 as it stands, 1 look-alikes that place or tables demand, 2 with
            hyphens or blanks inside a code, 3 look-alikes that only the check demands.
        source: what the text was.
        rival: whether the same signs also read as a number whose check does not fit.
    """

    kind: Literal["number", "key"]
    text: str
    repairs: tuple[Repair, ...]
    assumed: tuple[str, ...]
    tier: int
    source: Source
    rival: bool = False

    @property
    def nearness(self) -> tuple[int, int, str]:
        """What proposals are ordered by, the nearest first."""
        return self.tier, len(self.repairs), self.text

    def candidate(self) -> Candidate:
        """The proposal as the reader offers it."""
        return Candidate(
            number=self.text if self.kind == "number" else None,
            key=self.text if self.kind == "key" else None,
            repairs=self.repairs,
            assumed=self.assumed,
        )


@dataclass(slots=True)
class Proposals:
    """What one text gave.

    Attributes:
        found: the proposals, of each number or key the nearest one only.
        typed: all readings by the grammar of a number with what the text was, for a number never issued.
        cleaned: the letters and digits of each way to take off what stands around a mark.
        both: whether the text is a message that holds a number and a key.
        complaint: the bad character of the likeliest way, if it has one.
    """

    found: dict[tuple[str, str], Proposal] = field(default_factory=dict)
    typed: list[tuple[Typed, Source]] = field(default_factory=list)
    cleaned: list[tuple[Cleaned, Field, Source]] = field(default_factory=list)
    both: bool = False
    complaint: BadCharacter | None = None

    @property
    def half_bad(self) -> bool:
        """Whether the text is a message with a bad character, so that the other half alone does not settle it."""
        return self.both and self.complaint is not None

    def add(self, proposal: Proposal) -> None:
        """Take a proposal, unless a nearer one gives the same number or key."""
        known = self.found.get((proposal.kind, proposal.text))
        if known is None or proposal.nearness < known.nearness:
            self.found[proposal.kind, proposal.text] = proposal


def propose(traced: Traced, tables: CodeTables, *, look_alikes: bool = True) -> Proposals:
    """All readings of a text, without asking the records.

    Args:
        traced: the text.
        tables: the shop's code tables.
        look_alikes: whether signs may stand for what they look like.
    """
    proposals = Proposals()
    for n, peeled in enumerate(peel(traced)):
        proposals.both |= {part.kind for part in peeled.fields} == {"number", "key"}
        for part in peeled.fields:
            try:
                cleaned = clean(part.traced)
            except BadCharacter as complaint:
                if n == 0 and proposals.complaint is None:
                    proposals.complaint = complaint
                continue
            proposals.cleaned.append((cleaned, part, peeled.source))
            if part.kind != "key":
                _add_numbers(proposals, cleaned, tables, peeled.source, look_alikes=look_alikes)
            if part.kind != "number":
                _add_keys(proposals, cleaned, peeled.source, look_alikes=look_alikes)
    return proposals


def _add_numbers(
    proposals: Proposals, cleaned: Cleaned, tables: CodeTables, source: Source, *, look_alikes: bool
) -> None:
    typed = readings(cleaned, tables, look_alikes=look_alikes)
    least_broken = min((reading.broken for reading in typed), default=0)
    # A text without its last hyphen reads as a number with a wrong check and as one without a check.
    doubtful = any(reading.check and reading.broken == least_broken and not reading.fits for reading in typed)
    for reading in typed:
        proposals.typed.append((reading, source))
        assumed: tuple[str, ...] = ()
        if reading.check is None:
            number, assumed = f"{reading.body}-{check_digits(reading.body)}", (_NO_CHECK,)
        elif reading.fits:
            number = f"{reading.body}-{reading.check}"
        else:
            continue
        if reading.optional:
            tier = 3
        elif reading.broken > least_broken:
            tier = 2
        else:
            tier = 1 if reading.repairs else 0
        proposals.add(
            Proposal("number", number, reading.repairs, assumed, tier, source, rival=bool(assumed) and doubtful)
        )


def _add_keys(proposals: Proposals, cleaned: Cleaned, source: Source, *, look_alikes: bool) -> None:
    source = "key" if source == "number" else source
    if right_key(cleaned.chars):
        tier = 1 if cleaned.repairs else 0
        proposals.add(Proposal("key", cleaned.chars, cleaned.repairs, (), tier, source))
    elif look_alikes:
        for mended in keys_alike(cleaned):
            repairs = merged(*cleaned.repairs, *mended.repairs)
            proposals.add(Proposal("key", mended.text, repairs, (), 1, source))


def mended(straight: Proposals, tables: CodeTables) -> list[Proposal]:
    """What a text may be with one slip undone; the tiers follow how likely the slip is.

    Args:
        straight: what the text gave when it was read straight.
        tables: the shop's code tables.
    """
    found = Proposals()
    plain = (pair for pair in straight.typed if pair[0].check and not pair[0].fits and not pair[0].optional)
    wrong = sorted(plain, key=lambda pair: (pair[0].broken, len(pair[0].repairs)))
    as_it_stands = any(typed.check and not typed.repairs for typed, _ in straight.typed)
    for typed, source in wrong[:_MOST_MENDED]:
        origin = straight.cleaned[0][0].origin
        beyond = len(_SLIPS) if typed.repairs else 0  # a slip beside a look-alike is less likely than a slip alone
        for slip in mended_numbers(typed.compact, typed.at, origin, tables):
            repairs = merged(*typed.repairs, *slip.repairs)
            found.add(Proposal("number", slip.text, repairs, (_SLIPS[slip.rank],), slip.rank + beyond, source))
        found.add(_with_its_check(typed, origin, source, beyond=beyond))
    for cleaned, part, source in straight.cleaned:
        if not as_it_stands and part.kind != "key" and len(cleaned.chars) in _NUMBER_LENGTHS:
            for slip in mended_numbers(cleaned.chars, cleaned.at, cleaned.origin, tables):
                repairs = merged(*cleaned.repairs, *slip.repairs)
                found.add(Proposal("number", slip.text, repairs, (_SLIPS[slip.rank],), slip.rank, source))
        if part.kind != "number":
            key_source: Source = "key" if source == "number" else source
            for slip in mended_keys(cleaned):
                repairs = merged(*cleaned.repairs, *slip.repairs)
                found.add(Proposal("key", slip.text, repairs, (_SLIPS[slip.rank],), slip.rank, key_source))
    return list(found.found.values())


def _with_its_check(typed: Typed, origin: str, source: Source, *, beyond: int) -> Proposal:
    """The number that stands before check digits of which none is right."""
    check = check_digits(typed.body)
    repairs = merged(
        *typed.repairs,
        *(
            Repair(position, origin[position], right)
            for position, right, read in zip(typed.at[-2:], check, typed.check or "", strict=True)
            if right != read
        ),
    )
    return Proposal("number", f"{typed.body}-{check}", repairs, (_SLIPS[4],), 4 + beyond, source)
