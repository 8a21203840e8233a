"""Kinds of parts, hands and decks as callers name them."""

from __future__ import annotations

from dataclasses import dataclass

from service.rules.evidence_names import Words, words_of
from service.rules.evidence_table import VALUES, wrong

_LIKE: dict[str, str] = {
    "starwheel": "star",
    "stars": "star",
    "wheels": "wheel",
    "worm": "screw",
    "scroll": "screw",
    "auger": "screw",
    "spiral": "screw",
    "feedscrew": "screw",
    "disc": "plate",
    "disk": "plate",
    "puck": "plate",
    "inner": "centre",
    "center": "centre",
    "inside": "centre",
    "outside": "outer",
    "rails": "rail",
    "guides": "guide",
    "slide": "chute",
}
"""Other words for what the code table calls otherwise; common practice, no source."""

_ALIKE: frozenset[frozenset[str]] = frozenset(
    frozenset(pair)
    for pair in (
        ("CG", "OR"),
        ("CG", "NG"),
        ("OR", "NG"),
        ("OR", "RL"),
        ("CG", "RL"),
        ("NG", "RL"),
        ("DC", "RL"),
        ("SW", "BP"),
        ("SW", "CG"),
    )
)
"""Assemblies whose parts are taken for each other, by code."""

_FAMILIES = 8  # a family that is nothing like it is one of so many

_DECK_WORDS = {"bottom": "lower", "low": "lower", "mid": "middle", "centre": "middle", "top": "upper", "high": "upper"}
_UPWARDS = "LMUK"
_HANDS = {"left": "LEFT", "l": "LEFT", "lh": "LEFT", "right": "RIGHT", "r": "RIGHT", "rh": "RIGHT"}
NO_HAND = "none"


@dataclass(frozen=True, slots=True, order=True)
class Kind:
    """A code of a table with its name: an assembly, or a deck."""

    code: str
    name: str


def kind_said(text: str) -> Words:
    """The words of a kind of part, each as the code table has it."""
    return tuple(_LIKE.get(word, word) for word in words_of(text))


def family_likelihood(said: Words, family: Kind, families: tuple[Kind, ...]) -> float:
    """How likely these words are for a part of a family, of all that the shop has."""
    meant = meant_by(said, families)
    near = VALUES["shape_family.near"]
    if family in meant:
        share = 1 - near
    elif any(frozenset((family.code, other.code)) in _ALIKE for other in meant):
        share = near
    else:
        share = 0.0
    return (1 - wrong("shape_family")) * share + wrong("shape_family") / _FAMILIES


def meant_by(said: Words, families: tuple[Kind, ...]) -> frozenset[Kind]:
    """The families that words may mean: those of the code or, else, those that share most words with them."""
    by_code = frozenset(family for family in families if family.code.casefold() in said)
    if by_code:
        return by_code
    shared = {family: len(set(said) & set(words_of(family.name))) for family in families}
    most = max(shared.values(), default=0)
    return frozenset(family for family, count in shared.items() if count == most and count)


def hand_said(text: str) -> str | None:
    """LEFT, RIGHT or ``none``; None where what was said is no hand."""
    words = words_of(text)
    if {"none", "neither", "no", "both"} & set(words):
        return NO_HAND
    return next((_HANDS[word] for word in words if word in _HANDS), None)


def hand_likelihood(said: str, hand: str) -> float:
    """How likely a hand is for a part with this one, ``none`` for one that has none."""
    none = VALUES["hand.none"]
    if hand == NO_HAND:
        return 1 - none if said == NO_HAND else none / 2
    if said == NO_HAND:
        return none
    return (1 - none) * (1 - wrong("hand") if said == hand else wrong("hand"))


def deck_said(text: str, decks: tuple[Kind, ...]) -> str | None:
    """The code of the deck that was said, by its letter or its name; None where there is none."""
    words = {_DECK_WORDS.get(word, word) for word in words_of(text)}
    for deck in decks:
        if words & {deck.code.casefold(), *words_of(deck.name)} - {"deck"}:
            return deck.code
    return None


def deck_likelihood(said: str, deck: str, decks: tuple[Kind, ...]) -> float:
    """How likely a deck is to be said of a part that sits on this one."""
    near = VALUES["deck.near"]
    beside = [code for code in _beside(deck) if any(other.code == code for other in decks)]
    share = (1 - near if beside else 1.0) if said == deck else near / len(beside) if said in beside else 0.0
    return (1 - wrong("deck")) * share + wrong("deck") / max(len(decks), 1)


def _beside(deck: str) -> list[str]:
    at = _UPWARDS.find(deck)
    return [_UPWARDS[other] for other in (at - 1, at + 1) if at >= 0 and 0 <= other < len(_UPWARDS)]
