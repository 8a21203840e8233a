"""Plants, lines, machines and containers as people call them: what a caller says, held against every name there is.

A thing has several names: its code, its name today, what it was called once, what somebody wrote on it. A machine that
moved is looked for at both of its places. Letter case, accents, hyphens and words such as "line" count for nothing.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from schemas.search import Question
from service.rules.evidence_table import VALUES, wrong

Words = tuple[str, ...]

_WORD = re.compile(r"[^\W\d_]+|\d+")
_EMPTY = frozenset({"the", "line", "plant", "machine", "number", "no", "nr", "works", "on", "at", "in", "of"})
"""Words that tell nothing apart."""
_SPELT_ALIKE = 0.8
_SHORTEST_MISSPELT = 5


@dataclass(frozen=True, slots=True)
class Name:
    """One name of a thing; ``weight`` is the share of callers that would use it rather than one of other times."""

    text: str
    weight: float
    words: Words

    @classmethod
    def of(cls, text: str, weight: float = 1.0) -> Name:
        """A name with its words."""
        return cls(text, weight, words_of(text))


@dataclass(frozen=True, slots=True)
class Called:
    """A thing by every name that it bears and bore.

    Attributes:
        says: what a caller who knows it is expected to say, as people write it.
        names: every name.
    """

    says: str
    names: tuple[Name, ...]


def called(says: str, now: Iterable[str], then: Iterable[str] = ()) -> Called:
    """A thing by its names of today and those of other times; a name of both counts as today's.

    The names of other times weigh ``place.then``, those of today the rest; all of it where there are no others.
    """
    today = dict.fromkeys(name for name in now if words_of(name))
    before = [name for name in dict.fromkeys(then) if name not in today and words_of(name)]
    share = VALUES["place.then"] if before else 0.0
    return Called(says, (*(Name.of(name, 1 - share) for name in today), *(Name.of(name, share) for name in before)))


@lru_cache(maxsize=65536)
def words_of(text: str) -> Words:
    """The words and numbers of a text as they are compared."""
    plain = unicodedata.normalize("NFKD", text.casefold())
    return tuple(_WORD.findall("".join(letter for letter in plain if not unicodedata.combining(letter))))


def likelihood(question: Question, said: Words, fact: Called) -> float:
    """How likely it is that a caller says these words of a thing with these names."""
    best = max((name.weight * _match(said, name.words) for name in fact.names), default=0.0)
    return (1 - wrong(question)) * best + wrong(question) * VALUES["name.chance"]


def _match(said: Words, name: Words) -> float:
    """1 for the name itself, ``name.near`` for part of it or a misspelling, else 0."""
    if said == name:
        return 1.0
    asked, known = _core(said), _core(name)
    if asked == known or "".join(asked) == "".join(known):
        return 1.0
    if set(asked) <= set(known):
        return VALUES["name.near"]
    # "the filler on line 4": what is said may hold the name and more.
    if len(known) > 1 and set(known) <= set(asked):
        return VALUES["name.near"]
    return VALUES["name.near"] if _misspelt("".join(asked), "".join(known)) else 0.0


def _core(words: Words) -> Words:
    return tuple(word for word in words if word not in _EMPTY) or words


@lru_cache(maxsize=65536)
def _misspelt(said: str, name: str) -> bool:
    if min(len(said), len(name)) < _SHORTEST_MISSPELT or abs(len(said) - len(name)) > 2:
        return False
    # Figures are no misspelling of other figures.
    if [sign for sign in said if sign.isdecimal()] != [sign for sign in name if sign.isdecimal()]:
        return False
    matcher = difflib.SequenceMatcher(None, said, name, autojunk=False)
    return matcher.quick_ratio() >= _SPELT_ALIKE and matcher.ratio() >= _SPELT_ALIKE
