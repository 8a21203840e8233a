"""The worst that a template has to show: the longest of every text, for each weight of the letters.

The longest text of a kind is that whose letters are widest, not that with most letters. What the shop's records hold
comes in; where they hold nothing, an example stands that a shop would one day meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from schemas.label_conditions import Condition, State, Subject, possible_states
from service.marks.content import MarkFacts, composed, link, message_15434
from service.marks.lettering import FontMetrics, Typeface, Weight
from service.marks.silhouette import Container
from service.rules.lifting import LIFTING_AID_KG, TWO_PERSON_KG

#: While nothing is on record: what a sensible shop asks of a mark at most. The numbers are right, the names invented.
EXAMPLES: Mapping[str, str] = {
    "number": "OSV4-FC1-A500-SW12-U13-42",
    "kit": "OSV4-FC1-A500",
    "place": "SW12-U13",
    "container_words": "tall round 500 mL",
    "container_code": "A500",
    "assembly_name": "discharge star wheel",
    "assembly_code": "SW12",
    "deck": "middle",
    "segment_of": "segment 13 of 24",
    "hand": "RIGHT",
    "rotation": "clockwise seen from above",
    "material": "UHMW-PE",
    "stock_colour": "natural",
    "line": "line 4",
    "machine": "filler-capper 1",
    "machine_code": "OSV4-FC1",
    "plant": "Ostrey Vale",
    "customer": "Tarnquill Waters",
    "shop_name": "Kitwright demo shop",
    "shop_telephone": "+44 1632 960118",
    "shop_address": "3 Mill Lane",
}
EXAMPLE_QUANTITY, EXAMPLE_THICKNESS_MM, EXAMPLE_MASS_KG, EXAMPLE_REVISION = 40, 31.75, 112.4, "B"
EXAMPLE_KIT_PIECES, EXAMPLE_KIT_MASS_KG = 150, 238.5
EXAMPLE_SERVES = ("C500",)
EXAMPLE_CONTENTS = (("SW1", 8), ("SW2", 8), ("CG1", 4), ("OR1", 4))
EXAMPLE_CONTAINER = Container(shape="round", width_mm=65.3, height_mm=212.0, neck_finish="28-410")

#: All keys are alike in a symbol; in letters this one is the widest.
WIDEST_KEY = "WMWMWMWM"


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What the shop's records hold of everything that a mark may show; empty where they hold nothing.

    Attributes:
        texts: by the name of the fact, for one ``assembly_name``: every different text, or the longest of very many.
        quantity: the most pieces of one segment.
        thickness_mm: those of the sheets.
        mass_kg: the heaviest piece.
        kit_pieces: the most pieces of a kit.
        kit_mass_kg: the heaviest kit.
        serves: the kits that the most shared segment serves, as its mark names them.
        contents: the most that a crate holds: codes of assemblies with their pieces.
        public_url: the address in the codes.
    """

    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    quantity: int = 0
    thickness_mm: tuple[float, ...] = ()
    mass_kg: float = 0.0
    kit_pieces: int = 0
    kit_mass_kg: float = 0.0
    serves: tuple[str, ...] = ()
    contents: tuple[tuple[str, int], ...] = ()
    public_url: str = "http://127.0.0.1:8000"


def worst_facts(recorded: Recorded, typeface: Typeface) -> dict[Weight, MarkFacts]:
    """The facts of a mark that asks the most of each text, for letters of each weight."""
    return {weight: _facts(recorded, typeface[weight]) for weight in ("regular", "bold")}


def unprintable(recorded: Recorded, typeface: Typeface) -> dict[str, tuple[tuple[str, str], ...]]:
    """For each fact its texts on record that a face lacks a character of, with the first such character."""
    found: dict[str, tuple[tuple[str, str], ...]] = {}
    for name, texts in recorded.texts.items():
        lacking = [(text, char) for text in texts if (char := _lacked(composed(text), typeface))]
        if lacking:
            found[name] = tuple(lacking)
    return found


def _lacked(text: str, typeface: Typeface) -> str:
    return next((char for weight in ("regular", "bold") for char in typeface[weight].missing(text)), "")


def _facts(recorded: Recorded, metrics: FontMetrics) -> MarkFacts:
    texts = {name: _widest(recorded.texts.get(name, ()), metrics) or example for name, example in EXAMPLES.items()}
    quantity = recorded.quantity or EXAMPLE_QUANTITY
    revision = _widest(recorded.texts.get("revision", ()), metrics) or EXAMPLE_REVISION
    numbers = [f"{value:g}" for value in recorded.thickness_mm]
    facts: dict[str, Any] = {
        **texts,
        "quantity": quantity,
        "revision": revision,
        "thickness_mm": float(_widest(numbers, metrics) or EXAMPLE_THICKNESS_MM),
        "mass_kg": recorded.mass_kg or EXAMPLE_MASS_KG,
        "kit_pieces": recorded.kit_pieces or EXAMPLE_KIT_PIECES,
        "kit_mass_kg": recorded.kit_mass_kg or EXAMPLE_KIT_MASS_KG,
        "serves": recorded.serves or EXAMPLE_SERVES,
        "contents": recorded.contents or EXAMPLE_CONTENTS,
    }
    return MarkFacts(
        key=WIDEST_KEY,
        link=link(recorded.public_url, WIDEST_KEY),
        message=message_15434(texts["number"], WIDEST_KEY, revision, quantity),
        container=EXAMPLE_CONTAINER,
        **facts,
    )


def _widest(texts: Iterable[str], metrics: FontMetrics) -> str:
    """The widest of the texts that the face can set; empty for none."""
    settable = [text for text in texts if text and not metrics.missing(composed(text))]
    return max(settable, key=lambda text: metrics.widest_mm([composed(text)], 1.0), default="")


def on_which_they_hold(when: Iterable[Condition], facts: MarkFacts) -> MarkFacts:
    """The facts changed as little as conditions ask that do not contradict each other."""
    for subject, states in possible_states(when).items():
        facts = _in_state(facts, subject, states)
    return facts


def _in_state(facts: MarkFacts, subject: Subject, states: frozenset[State]) -> MarkFacts:
    if subject == "mass":
        return _of_mass(facts, states)
    if "yes" in states:
        return facts  # the worst case has everything
    empty: dict[Subject, dict[str, Any]] = {
        "hand": {"hand": ""},
        "quantity": {"quantity": 1},
        "serves": {"serves": ()},
        "colour": {"stock_colour": ""},
        "revision": {"revision": ""},
        "segment": {"segment_of": ""},
    }
    return replace(facts, **empty[subject])


def _of_mass(facts: MarkFacts, states: frozenset[State]) -> MarkFacts:
    heaviest = facts.mass_kg or EXAMPLE_MASS_KG
    if "lifting_aid" in states:
        return replace(facts, mass_kg=max(heaviest, LIFTING_AID_KG))
    if "two_people" in states:
        return replace(facts, mass_kg=LIFTING_AID_KG - 0.4)  # four signs, as wide as such a mass gets
    if "light" in states:
        return replace(facts, mass_kg=TWO_PERSON_KG - 0.2)
    return replace(facts, mass_kg=None)
