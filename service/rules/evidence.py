"""What a caller said, read once and held against what is on record, question by question.

For each question: what the answer means (``heard``), how likely it is for a fact on record (``likelihood``), and what a
caller who knows would say (``expected``). Where nothing is on record an answer speaks neither for nor against; that is
for whoever weighs the segments, who knows how likely the answer is in all. No likelihood is ever 0.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from schemas.search import Question
from service.rules import evidence_colours, evidence_figures, evidence_kinds, evidence_names
from service.rules.evidence_figures import InUse, Measured, Thickness
from service.rules.evidence_kinds import NO_HAND, Kind
from service.rules.evidence_names import Called, Words
from service.rules.evidence_table import unsure, wrong
from service.rules.next_question import NOTHING, Worth, channel_of, named, told

Fact = Called | Kind | Thickness | InUse | str | int | float
"""A thing on record that a question is about; its type goes with the question."""
Heard = Words | Measured | str | int
"""An answer as it is understood."""

BY_NAME: tuple[Question, ...] = ("plant", "line", "running", "machine")
MOST_FACTS = 60
"""More different facts than these are taken together before a question is weighed, which can only make it look worth
less."""

FOR, AGAINST = 1.25, 0.8
"""From how many times the usual likelihood an answer speaks for a segment, and below how many against it."""


@dataclass(frozen=True, slots=True)
class Tables:
    """What the shop's code tables say: the families of parts and the decks."""

    families: tuple[Kind, ...]
    decks: tuple[Kind, ...]


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """Why an answer cannot be used, and how to put it."""

    reason: str


def heard(  # noqa: PLR0911 - one answer for each question
    question: Question, answer: str, tolerance_mm: float | None, tables: Tables
) -> Heard | NotUnderstood:
    """What an answer means.

    Args:
        question: what was asked.
        answer: what the caller said.
        tolerance_mm: how far a measured figure may be out, nearly always: twice its spread.
        tables: the shop's code tables.
    """
    spread = None if tolerance_mm is None else tolerance_mm / 2
    match question:
        case "plant" | "line" | "running" | "machine":
            words = evidence_names.words_of(answer)
            return words or NotUnderstood("it has neither a letter nor a figure; write the name")
        case "stock_colour":
            colour = evidence_colours.colour_said(answer)
            return colour or NotUnderstood("no colour of this name is known; write a plain one such as green or grey")
        case "shape_family":
            said = evidence_kinds.kind_said(answer)
            if evidence_kinds.meant_by(said, tables.families):
                return said
            names = ", ".join(family.name for family in tables.families)
            return NotUnderstood(f"no kind of part is called so; write one of {names}")
        case "pockets":
            count = evidence_figures.count_said(answer)
            return NotUnderstood("this is no count; write a whole number such as 6") if count is None else count
        case "overall_length_mm" | "thickness_mm":
            value = evidence_figures.millimetres_said(answer, thin=question == "thickness_mm")
            if value is None:
                return NotUnderstood("this is no such measure; write it in mm, such as 25 or 418")
            return Measured(value, spread)
        case "hand":
            return evidence_kinds.hand_said(answer) or NotUnderstood("this is no hand; write left, right or none")
        case "deck":
            deck = evidence_kinds.deck_said(answer, tables.decks)
            names = ", ".join(deck.name for deck in tables.decks)
            return deck or NotUnderstood(f"no deck is called so; write one of {names}")
        case "date":
            year = evidence_figures.year_said(answer)
            return NotUnderstood("there is no year in it; write it in full, such as 2019") if year is None else year
        case "neighbour" | "picture":
            return answer


def likelihood(question: Question, said: Heard, fact: Fact, tables: Tables) -> float:  # noqa: PLR0911 - one for each
    """How likely a caller is to say this of a part of which the fact is on record; above 0 whatever he says."""
    match question, said, fact:
        case "stock_colour", str(), str():
            return evidence_colours.likelihood(said, fact)
        case "shape_family", tuple(), Kind():
            return evidence_kinds.family_likelihood(said, fact, tables.families)
        case "pockets", int(), int():
            return evidence_figures.pockets_likelihood(said, fact)
        case "overall_length_mm", Measured(), float():
            return evidence_figures.length_likelihood(said, fact)
        case "thickness_mm", Measured(), Thickness():
            return evidence_figures.thickness_likelihood(said, fact)
        case "hand", str(), str():
            return evidence_kinds.hand_likelihood(said, fact)
        case "deck", str(), Kind():
            return evidence_kinds.deck_likelihood(said, fact.code, tables.decks)
        case "date", int(), InUse():
            return evidence_figures.date_likelihood(said, fact)
        case _, tuple(), Called():
            return evidence_names.likelihood(question, said, fact)
    raise TypeError(f"{question}: {said!r} cannot be held against {fact!r}")


def expected(question: Question, fact: Fact) -> str:
    """What a caller who knows would say of a fact; also how the fact is told."""
    match fact:
        case Called():
            return fact.says
        case Kind():
            return fact.name
        case Thickness():
            return f"{fact.best_mm:g} mm"
        case InUse():
            return str(fact.made)
        case float():
            return f"{fact:.0f} mm"
    return fact.lower() if question == "hand" and isinstance(fact, str) else str(fact)


def worth(question: Question, facts: Mapping[Fact, float], tables: Tables, *, unknown: float) -> Worth:
    """What a question is worth, by the facts that are still likely.

    Args:
        question: what may be asked.
        facts: how likely each fact is; they add up to 1.
        tables: the shop's code tables.
        unknown: the share of the likelihood that lies with segments of which nothing is on record.
    """
    if not facts:
        return NOTHING
    if question in BY_NAME:
        shares: dict[str, float] = {}
        for fact, share in facts.items():
            shares[expected(question, fact)] = shares.get(expected(question, fact), 0.0) + share
        return named(shares, wrong=wrong(question), unsure=unsure(question), unknown=unknown)
    grouped = _grouped(question, facts)
    answers = list(dict.fromkeys(_answers(question, grouped)))
    if len(answers) < 2 or len(grouped) < 2:
        return NOTHING
    said = [heard(question, answer, None, tables) for answer in answers]
    rows = [
        [likelihood(question, one, fact, tables) for one in said if not isinstance(one, NotUnderstood)]
        for fact in grouped
    ]
    understood = [answer for answer, one in zip(answers, said, strict=True) if not isinstance(one, NotUnderstood)]
    return told(list(grouped.values()), understood, channel_of(rows), unsure=unsure(question), unknown=unknown)


def _answers(question: Question, facts: Mapping[Fact, float]) -> Sequence[str]:
    """The answers that are weighed: those that are right for one of the facts, and for dates every year between."""
    if question == "date":
        years = [year for fact in facts if isinstance(fact, InUse) for year in (fact.made, fact.until)]
        return [str(year) for year in range(min(years), max(years) + 1)]
    return [expected(question, fact) for fact in facts]


def _grouped(question: Question, facts: Mapping[Fact, float]) -> dict[Fact, float]:
    """The facts with those taken together that nobody tells apart, at most ``MOST_FACTS``."""
    if question not in ("overall_length_mm", "thickness_mm", "date"):
        likeliest = sorted(facts.items(), key=lambda item: -item[1])[:MOST_FACTS]
        total = sum(share for _, share in likeliest)
        return {fact: share / total for fact, share in likeliest} if total else {}
    ordered = sorted(facts.items(), key=lambda item: _size(item[0]))
    made: dict[Fact, float] = {}
    step, held, heaviest = 1 / MOST_FACTS, 0.0, (ordered[0][0], 0.0)
    for at, (fact, share) in enumerate(ordered):
        held += share
        heaviest = max(heaviest, (fact, share), key=lambda item: item[1])
        last = at == len(ordered) - 1
        if last or held >= step or len(ordered) <= MOST_FACTS:
            made[heaviest[0]], held, heaviest = held, 0.0, (ordered[min(at + 1, len(ordered) - 1)][0], 0.0)
    return made


def _size(fact: Fact) -> tuple[float, float]:
    match fact:
        case Thickness():
            return fact.best_mm, fact.nominal_mm
        case InUse():
            return fact.made, fact.until
        case float() | int():
            return float(fact), 0.0
    raise TypeError(fact)


def speaks(likely: float, usual: float) -> str:
    """Whether an answer speaks for a segment, against it, or is silent, by its likelihood and that in all."""
    if usual <= 0:
        return "silent"
    ratio = likely / usual
    return "for" if ratio >= FOR else "against" if ratio <= AGAINST else "silent"


__all__ = [
    "BY_NAME",
    "NO_HAND",
    "Fact",
    "Heard",
    "NotUnderstood",
    "Tables",
    "expected",
    "heard",
    "likelihood",
    "speaks",
    "worth",
]
