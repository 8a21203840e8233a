"""Random segments with all that a mark may say of them, the longest and the shortest among them; seeded."""

from __future__ import annotations

import random
from collections.abc import Iterator
from typing import Any

from service.marks.content import MarkFacts
from service.marks.silhouette import Container
from service.numbering.key import Key
from service.numbering.number import KitNumber, Number, Place
from service.rules.colours import STOCK_COLOURS
from tests.mark_factory import LONGEST, make_facts

PLANTS = ("OSV", "MRG", "WMW", "IJL")
CLASSES = ("FC", "FL", "CP", "LB", "RN")
CONTAINERS = (
    ("A", 500, "tall round 500 mL"),
    ("C", 500, "square 500 mL"),
    ("A", 330, "sport 330 mL"),
    ("A", 12, "12 fl oz sauce"),
    ("WW", 1500, "wysoka żółta 1,5 L"),
    ("M", 750, "ψηλό στρογγυλό 750"),
)
ASSEMBLIES = (
    ("SW", "discharge star wheel"),
    ("TS", "timing screw"),
    ("CG", "centre guide"),
    ("NG", "neck guide, capper"),
    ("OR", "outer guide"),
)
DECKS = {"L": "lower", "M": "middle", "U": "upper", "K": "neck", "X": ""}

#: Addresses whose links have 29 characters and fewer (version 2 of a QR Code) up to 47 (version 3).
URLS = ("https://k.example", "http://127.0.0.1:8000", "https://kitwright.example.org/marks1")


def random_facts(seed: int, count: int) -> Iterator[MarkFacts]:
    """The facts of ``count`` segments: first the longest that the demonstration and a sensible shop ask of a mark."""
    rng = random.Random(seed)
    yield make_facts(**{**LONGEST, "mass_kg": 22.4})
    for _ in range(count - 1):
        yield _random(rng)


def _random(rng: random.Random) -> MarkFacts:
    design, digits, words = rng.choice(CONTAINERS)
    code, name = rng.choice(ASSEMBLIES)
    deck = rng.choice(list(DECKS))
    of = rng.randint(1, 24)
    kit = KitNumber(rng.choice(PLANTS), rng.randint(1, 19), rng.choice(CLASSES), rng.randint(1, 12), design, digits)
    place = Place(code, rng.randint(1, 12), deck, of)
    facts: dict[str, Any] = {
        "number": str(Number(kit, place)),
        "key": str(Key.random(rng)),
        "public_url": rng.choice(URLS),
        "kit": str(kit),
        "place": str(place),
        "container_words": words,
        "container_code": f"{design}{digits}",
        "assembly_name": name,
        "assembly_code": f"{code}{place.assembly_ordinal}",
        "deck": DECKS[deck],
        "segment_of": rng.choice(["", f"segment {rng.randint(1, of)} of {of}"]),
        "hand": rng.choice(["", "LEFT", "RIGHT"]),
        "quantity": rng.choice([1, 1, 2, 40]),
        "stock_colour": rng.choice(["", *STOCK_COLOURS]),
        "mass_kg": rng.choice([None, rng.uniform(0.005, 14), rng.uniform(15, 29), rng.uniform(30, 120)]),
        "thickness_mm": rng.choice([None, 12.0, 25.0, 31.75]),
        "revision": rng.choice(["", "-", "B", "AC"]),
        "serves": rng.choice([(), ("C500",), ("OSV4-FC1-C500",)]),
        "container": rng.choice([None, Container(shape="square", width_mm=62.0, height_mm=190.0)]),
    }
    return make_facts(**facts)
