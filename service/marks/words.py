"""The trade's fixed words on marks, in the languages that plates come in: decks, hands, pieces, turning, stock colours.

A number, a key and a name from the register are never translated. LEFT and RIGHT are the shop's words for the hand of a
part, cut into it and said on the telephone, so they stay whole on every mark; the other language stands beside them.
A deck or colour that the shop added to its tables is said as the shop wrote it. In a language that is not at hand the
trade's words stay English.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

#: The language that the records are kept in.
SHOP_LANGUAGE = "en"

#: Between the shop's word for a hand and the other language's.
BESIDE = " · "

_SEGMENT = re.compile(r"segment (\d+) of (\d+)")


@dataclass(frozen=True, slots=True)
class Wording:
    """How one language says what the records hold.

    Attributes:
        segment: with ``{0}`` of ``{1}``.
        count: the same without the word for the segment.
        piece: for one.
        pieces: for a number of them, with ``{0}``.
        deck: with ``{0}``, for a deck that the table below lacks.
        decks: whole phrases by the English name of the deck.
        hands: by the shop's word.
        rotations: by the English word, seen from above.
        from_above: with ``{0}``, for a rotation that the table lacks.
        revision: with ``{0}``.
        stays_on_for: with ``{0}``.
        under: with ``{0}``, for a mass that is less.
        colours: by the English word.
        decimal_comma: whether decimals stand behind a comma.
    """

    segment: str
    count: str
    piece: str
    pieces: str
    deck: str
    revision: str
    stays_on_for: str
    under: str
    from_above: str
    decks: Mapping[str, str] = field(default_factory=dict)
    hands: Mapping[str, str] = field(default_factory=dict)
    rotations: Mapping[str, str] = field(default_factory=dict)
    colours: Mapping[str, str] = field(default_factory=dict)
    decimal_comma: bool = False


_ENGLISH = Wording(
    segment="segment {0} of {1}",
    count="{0} of {1}",
    piece="1 piece",
    pieces="{0} pieces",
    deck="{0} deck",
    revision="rev {0}",
    stays_on_for="stays on for {0}",
    under="under {0}",
    from_above="{0} seen from above",
)
_GERMAN = Wording(
    segment="Segment {0} von {1}",
    count="{0} von {1}",
    piece="1 Stück",
    pieces="{0} Stück",
    deck="Ebene {0}",
    revision="Rev. {0}",
    stays_on_for="bleibt drin für {0}",
    under="unter {0}",
    from_above="{0} von oben gesehen",
    decks={
        "lower": "untere Ebene",
        "middle": "mittlere Ebene",
        "upper": "obere Ebene",
        "neck": "Halsebene",
    },
    hands={"LEFT": "LINKS", "RIGHT": "RECHTS"},
    rotations={
        "clockwise": "rechtsdrehend von oben gesehen",
        "counter-clockwise": "linksdrehend von oben gesehen",
        "anticlockwise": "linksdrehend von oben gesehen",
    },
    colours={
        "natural": "natur", "white": "weiß", "black": "schwarz", "grey": "grau", "red": "rot", "orange": "orange",
        "yellow": "gelb", "green": "grün", "blue": "blau", "purple": "lila", "pink": "rosa", "brown": "braun",
    },
    decimal_comma=True,
)  # fmt: skip
_POLISH = Wording(
    segment="segment {0} z {1}",
    count="{0} z {1}",
    piece="1 szt.",
    pieces="{0} szt.",
    deck="poziom {0}",
    revision="rew. {0}",
    stays_on_for="zostaje dla {0}",
    under="poniżej {0}",
    from_above="{0} patrząc z góry",
    decks={
        "lower": "poziom dolny",
        "middle": "poziom środkowy",
        "upper": "poziom górny",
        "neck": "poziom szyjki",
    },
    hands={"LEFT": "LEWA", "RIGHT": "PRAWA"},
    rotations={
        "clockwise": "w prawo patrząc z góry",
        "counter-clockwise": "w lewo patrząc z góry",
        "anticlockwise": "w lewo patrząc z góry",
    },
    colours={
        "natural": "naturalny", "white": "biały", "black": "czarny", "grey": "szary", "red": "czerwony",
        "orange": "pomarańczowy", "yellow": "żółty", "green": "zielony", "blue": "niebieski", "purple": "fioletowy",
        "pink": "różowy", "brown": "brązowy",
    },
    decimal_comma=True,
)  # fmt: skip

WORDINGS: Mapping[str, Wording] = {"en": _ENGLISH, "de": _GERMAN, "pl": _POLISH}
"""The languages at hand, by their primary subtag (RFC 5646)."""


def wording(language: str) -> Wording:
    """The words of a language by its tag, ``de`` or ``de-AT``; English where it is not at hand."""
    return WORDINGS.get(language.partition("-")[0], _ENGLISH)


def at_hand(language: str) -> bool:
    """Whether the trade's words are known in this language."""
    return language.partition("-")[0] in WORDINGS


def deck_words(deck: str, language: str) -> str:
    """``upper deck``; empty for none."""
    words = wording(language)
    return words.decks.get(deck, words.deck.format(deck)) if deck else ""


def segment_words(segment_of: str, language: str) -> str:
    """``segment 3 of 4`` in a language; as it stands where it is no such phrase."""
    found = _SEGMENT.fullmatch(segment_of)
    return wording(language).segment.format(*found.groups()) if found else segment_of


def count_words(segment_of: str, language: str) -> str:
    """``3 of 4``, without the word for the segment."""
    found = _SEGMENT.fullmatch(segment_of)
    return wording(language).count.format(*found.groups()) if found else segment_of.removeprefix("segment ")


def hand_words(hand: str, language: str) -> str:
    """LEFT or RIGHT as the shop says it, and in another language that word beside it."""
    other = wording(language).hands.get(hand)
    return f"{hand}{BESIDE}{other}" if other else hand


def rotation_words(rotation: str, language: str) -> str:
    """``clockwise seen from above``; the records hold the English phrase."""
    words = wording(language)
    if words is _ENGLISH or not rotation:
        return rotation
    turn = rotation.removesuffix(" seen from above")
    return words.rotations.get(turn, words.from_above.format(turn))


def pieces_words(count: int, language: str) -> str:
    """``14 pieces``, ``1 piece``."""
    words = wording(language)
    return words.piece if count == 1 else words.pieces.format(count)


def revision_words(revision: str, language: str) -> str:
    """``rev B``; empty for none."""
    return wording(language).revision.format(revision) if revision else ""


def stays_on_words(kits: tuple[str, ...], language: str) -> str:
    """``stays on for C500``; empty for no other kit."""
    return wording(language).stays_on_for.format(", ".join(kits)) if kits else ""


def colour_word(colour: str, language: str) -> str:
    """A stock colour's word; the shop's own words stay as they are."""
    return wording(language).colours.get(colour, colour)


def mass_words(mass_kg: float, language: str) -> str:
    """A mass to three significant figures at most, never rounded to nothing."""
    if mass_kg < 0.01:
        return wording(language).under.format(decimal("0.01", language) + " kg")
    figures = f"{mass_kg:.2f}" if mass_kg < 10 else f"{mass_kg:.1f}" if mass_kg < 100 else f"{mass_kg:.0f}"
    return f"{decimal(figures, language)} kg"


def decimal(figures: str, language: str) -> str:
    """A number's digits with the language's own mark before the decimals."""
    return figures.replace(".", ",") if wording(language).decimal_comma else figures
