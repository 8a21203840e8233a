"""What there is to say about the segments of a shop, as columns: the words are those of the records."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.numbering.tables import DEFAULT_TABLES
from tests.shop_of_a_million import Shop

Ids = NDArray[np.int64]
_KINDS = {
    "SW": "star wheel", "TS": "screw", "CG": "guide", "OR": "guide", "NG": "guide", "RL": "rail", "WS": "strip",
    "BP": "plate", "DC": "chute", "CH": "chuck", "LM": "magazine", "BK": "bracket", "PU": "pusher",
}  # fmt: skip
KIND_WORDS = tuple(dict.fromkeys(_KINDS.values()))
"""What somebody calls a part who does not know its whole name."""
DECKS = "LMUKX"
DECK_WORDS = ("lower", "middle", "upper", "neck", "none")
HANDS = ("none", "LEFT", "RIGHT")


def plant_name(code: str) -> str:
    """How a plant is called in the records."""
    return f"Works {code}"


def line_name(ordinal: int) -> str:
    """How a line is called in the records."""
    return f"line {ordinal}"


def machine_name(machine_class: str, ordinal: int) -> str:
    """How a machine is called in the records."""
    return f"{DEFAULT_TABLES.machine_classes[machine_class]} {ordinal}"


@dataclass(frozen=True, eq=False)
class Facts:
    """Columns over the segments of a shop, each a place in the list of words of its kind, or a figure."""

    shop: Shop

    def __len__(self) -> int:
        return len(self.shop)

    def _of_machines(self, values: Sequence[int]) -> Ids:
        machines = np.array([kit.machine for kit in self.shop.kits])
        return np.asarray(np.array(values, np.int64)[machines[self.shop.kit]])

    def _of_kits(self, values: Sequence[Any]) -> Ids:
        return np.asarray(np.array(values, np.int64)[self.shop.kit])

    @cached_property
    def plant(self) -> Ids:
        """Place in the shop's plants."""
        return self._of_machines([self.shop.lines[one.born].plant for one in self.shop.machines])

    @cached_property
    def line_now(self) -> Ids:
        """Ordinal of the line that the machine stands on."""
        return self._of_machines([self.shop.lines[one.now].ordinal for one in self.shop.machines])

    @cached_property
    def line_born(self) -> Ids:
        """Ordinal of the line that the number names."""
        return self._of_machines([self.shop.lines[one.born].ordinal for one in self.shop.machines])

    @cached_property
    def lines_of_plant(self) -> Ids:
        """How many lines the plant has."""
        counts = np.bincount([line.plant for line in self.shop.lines], minlength=len(self.shop.plants))
        return counts[self.plant].astype(np.int64)

    @cached_property
    def classes(self) -> list[str]:
        """All machine classes that the shop has parts for."""
        return sorted({one.machine_class for one in self.shop.machines})

    @cached_property
    def machine_class(self) -> Ids:
        """Place in ``classes``."""
        return self._of_machines([self.classes.index(one.machine_class) for one in self.shop.machines])

    @cached_property
    def machine_ordinal(self) -> Ids:
        """Which machine of its class on its line."""
        return self._of_machines([one.ordinal for one in self.shop.machines])

    @cached_property
    def container(self) -> Ids:
        """Place in the shop's containers."""
        return self._of_kits([kit.container for kit in self.shop.kits])

    @cached_property
    def colours(self) -> list[str]:
        """All stock colours in use."""
        return sorted({kit.stock_colour for kit in self.shop.kits})

    @cached_property
    def colour(self) -> Ids:
        """Place in ``colours``."""
        return self._of_kits([self.colours.index(kit.stock_colour) for kit in self.shop.kits])

    @cached_property
    def kind(self) -> Ids:
        """Place in ``KIND_WORDS``."""
        kinds = np.array([KIND_WORDS.index(_KINDS[place[:2]]) for place in self.shop.places])
        return kinds[self.shop.place].astype(np.int64)

    @cached_property
    def deck(self) -> Ids:
        """Place in ``DECKS``."""
        decks = np.array([DECKS.index(place.split("-")[1][0]) for place in self.shop.places])
        return decks[self.shop.place].astype(np.int64)

    def register_of(self, container: int) -> list[int]:
        """All containers of the customer whose this one is."""
        customer = self.shop.containers[container].customer
        return [at for at, one in enumerate(self.shop.containers) if one.customer == customer]

    @cached_property
    def beside(self) -> tuple[Ids, Ids]:
        """The segments before and behind in the same deck of the same assembly, -1 where there is none.

        Segments of one deck follow one another in the order of issue.
        """
        heads = np.array([place.rstrip("0123456789") for place in self.shop.places])[self.shop.place]
        same = (heads[1:] == heads[:-1]) & (self.shop.kit[1:] == self.shop.kit[:-1])
        rows = np.arange(len(self), dtype=np.int64)
        before, behind = np.full(len(self), -1, np.int64), np.full(len(self), -1, np.int64)
        before[1:][same] = rows[:-1][same]
        behind[:-1][same] = rows[1:][same]
        return before, behind
