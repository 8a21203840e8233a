"""A shop after thirty years, drawn from a seed: some hundred plants, twelve thousand kits, a million issued numbers.

Nothing in it is regular: plants have one to nine lines, lines one to eight machines of several classes, machines
kits of ten to a hundred and fifty segments, and which places a kit has follows from what its machine is made of
(``shop_anatomy.py``). Containers have sizes as they are sold, the common ones in many designs. One machine in eight
stands on another line today than the one whose name it bears. All names are drawn letters.

The rows of a million segments are columns of NumPy; what belongs to kits and machines is kept once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from random import Random
from typing import Any

import numpy as np
from numpy.typing import NDArray

from service.numbering.check import check_digits
from service.numbering.tables import DEFAULT_TABLES, alike
from service.rules.colours import STOCK_COLOURS
from tests.shop_anatomy import CLASSES, Machine, Part, machine

MILLION = 1_000_000
_FEWEST, _MOST = 10, 150
_PLANTS_OF_A_MILLION = 110
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CLASS_WEIGHTS = dict(zip(CLASSES, (30, 12, 8, 22, 8, 6, 6, 4, 8), strict=True))
_COLOUR_WEIGHTS = {
    "natural": 18, "white": 9, "black": 7, "grey": 4, "red": 9, "orange": 5, "yellow": 9, "green": 14, "blue": 16,
    "purple": 3, "pink": 2, "brown": 4,
}  # fmt: skip
_SIZES: dict[tuple[int, str], int] = {
    (500, "mL"): 20, (330, "mL"): 16, (1000, "mL"): 14, (250, "mL"): 9, (750, "mL"): 8, (1500, "mL"): 7,
    (2000, "mL"): 5, (200, "mL"): 4, (350, "mL"): 3, (700, "mL"): 3, (100, "mL"): 2, (50, "mL"): 2, (600, "mL"): 2,
    (1250, "mL"): 1, (5000, "mL"): 1, (12, "fl oz"): 4, (16, "fl oz"): 3, (20, "fl oz"): 2, (8, "fl oz"): 1,
    (285, "g"): 1, (1, "gal"): 1,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Plant:
    """A plant and whose it is."""

    code: str
    customer: int


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a plant."""

    plant: int
    ordinal: int


@dataclass(frozen=True, slots=True)
class Standing:
    """A machine: where it was born, and where it stands now."""

    born: int
    now: int
    machine_class: str
    ordinal: int


@dataclass(frozen=True, slots=True)
class Container:
    """What a customer runs."""

    customer: int
    design: str
    nominal: int
    unit: str
    width_mm: float

    @property
    def code(self) -> str:
        """As the number says it, ``A500``."""
        return f"{self.design}{self.nominal}"


@dataclass(frozen=True, slots=True)
class Kit:
    """The parts of one machine for one container."""

    number: str
    machine: int
    container: int
    stock_colour: str
    issued: str


@dataclass(frozen=True, eq=False)
class Shop:
    """All of it; a row is referred to by its place in the tuple of its kind, a segment by its place in the columns.

    Attributes:
        kit: for every segment its kit.
        place: for every segment what its number says after the kit's, an index into ``places``.
        family: place in ``shop_anatomy.FAMILIES``.
        hand: 0 for none, 1 LEFT, 2 RIGHT.
    """

    plants: tuple[Plant, ...]
    lines: tuple[Line, ...]
    machines: tuple[Standing, ...]
    containers: tuple[Container, ...]
    kits: tuple[Kit, ...]
    places: tuple[str, ...]
    kit: NDArray[np.int32]
    place: NDArray[np.int32]
    family: NDArray[np.int8]
    pockets: NDArray[np.int16]
    length_mm: NDArray[np.float32]
    thickness_mm: NDArray[np.float32]
    hand: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.kit)

    @cached_property
    def numbers(self) -> list[str]:
        """Every issued number, in the order of issue."""
        heads = [kit.number for kit in self.kits]
        bodies = (
            f"{heads[kit]}-{self.places[place]}"
            for kit, place in zip(self.kit.tolist(), self.place.tolist(), strict=True)
        )
        return [f"{body}-{check_digits(body)}" for body in bodies]

    def of_kits(self, values: Sequence[Any]) -> NDArray[Any]:
        """What is said of each kit, for every segment."""
        return np.asarray(values)[self.kit]


def make_shop(segments: int = MILLION, *, seed: int = 1) -> Shop:
    """A shop of so many segments. A smaller one has fewer plants and fewer kits a plant."""
    draw = Random(seed)
    plants = _plants(draw, max(3, round(_PLANTS_OF_A_MILLION * (segments / MILLION) ** 0.5)))
    lines = [Line(plant, line + 1) for plant in range(len(plants)) for line in range(_lines(draw))]
    machines, built = _machines(draw, plants, lines)
    containers = _containers(draw, plants, segments)
    kits, parts = _kits(draw, plants, lines, machines, built, containers, segments)
    columns = _columns(parts, [containers[kit.container].width_mm for kit in kits], seed)
    return Shop(tuple(plants), tuple(lines), tuple(machines), tuple(containers), tuple(kits), **columns)


def _plants(draw: Random, count: int) -> list[Plant]:
    """Codes that neither look nor sound alike as far as the letters of the alphabet reach."""
    codes: list[str] = []
    while len(codes) < count:
        code = "".join(draw.choices(_LETTERS, k=3))
        if not any(alike(code, other) for other in codes):
            codes.append(code)
    customers = list(accumulate(draw.random() < 0.8 for _ in codes))
    return [Plant(code, int(customer)) for code, customer in zip(codes, customers, strict=True)]


def _lines(draw: Random) -> int:
    return draw.choices(range(1, 10), (6, 12, 18, 18, 14, 9, 6, 4, 3))[0]


def _machines(draw: Random, plants: Sequence[Plant], lines: Sequence[Line]) -> tuple[list[Standing], list[Machine]]:
    """One machine in eight was moved to another line of its plant."""
    of_plant: dict[int, list[int]] = {}
    for index, line in enumerate(lines):
        of_plant.setdefault(line.plant, []).append(index)
    standing: list[Standing] = []
    for born, line in enumerate(lines):
        ordinals: dict[str, int] = {}
        for kind in draw.choices(
            list(_CLASS_WEIGHTS), list(_CLASS_WEIGHTS.values()), k=draw.choice((1, 2, 3, 3, 4, 5))
        ):
            ordinals[kind] = ordinals.get(kind, 0) + 1
            now = draw.choice(of_plant[line.plant]) if draw.random() < 0.125 else born
            standing.append(Standing(born, now, kind, ordinals[kind]))
    return standing, [machine(draw, one.machine_class) for one in standing]


def _containers(draw: Random, plants: Sequence[Plant], segments: int) -> list[Container]:
    """Each customer's register: a further container of a size that it has already takes the next design letter."""
    letters = DEFAULT_TABLES.design_letters
    made: list[Container] = []
    for customer in sorted({plant.customer for plant in plants}):
        used: dict[int, int] = {}
        many = draw.randint(4, 8 + round(30 * (segments / MILLION) ** 0.25))
        for nominal, unit in draw.choices(list(_SIZES), list(_SIZES.values()), k=many):
            nth = used.get(nominal, 0)
            used[nominal] = nth + 1
            design = letters[nth % len(letters)] * (1 + nth // len(letters))
            content_ml = nominal * {"mL": 1, "fl oz": 29.6, "g": 0.9, "gal": 3785}[unit]
            made.append(
                Container(
                    customer, design, nominal, unit, round(8.2 * content_ml ** (1 / 3) * draw.uniform(0.9, 1.15), 1)
                )
            )
    return made


def _kits(
    draw: Random,
    plants: Sequence[Plant],
    lines: Sequence[Line],
    machines: Sequence[Standing],
    built: Sequence[Machine],
    containers: Sequence[Container],
    segments: int,
) -> tuple[list[Kit], list[list[Part]]]:
    """Pairs of machine and container in the order in which they were ordered, until the shop has its segments."""
    of_customer: dict[int, list[int]] = {}
    for index, container in enumerate(containers):
        of_customer.setdefault(container.customer, []).append(index)
    pairs = []
    for index, one in enumerate(machines):
        bottles = of_customer[plants[lines[one.born].plant].customer]
        some = draw.sample(bottles, max(1, min(len(bottles), round(len(bottles) * draw.triangular(0.3, 1.0, 0.8)))))
        pairs += [(draw.random(), index, bottle) for bottle in some]
    kits: list[Kit] = []
    parts: list[list[Part]] = []
    missing = segments
    for at, (_, index, bottle) in enumerate(sorted(pairs)):
        if missing <= 0:
            break
        runs, one = containers[bottle], machines[index]
        chosen = _chosen(draw, built[index].large if runs.width_mm > 85 else built[index].small)[:missing]
        line = lines[one.born]
        kits.append(
            Kit(
                number=f"{plants[line.plant].code}{line.ordinal}-{one.machine_class}{one.ordinal}-{runs.code}",
                machine=index,
                container=bottle,
                stock_colour=draw.choices(list(_COLOUR_WEIGHTS), list(_COLOUR_WEIGHTS.values()))[0],
                issued=f"{1996 + 30 * at // len(pairs)}-{draw.randint(1, 12):02d}-{draw.randint(1, 28):02d}T09:00:00Z",
            )
        )
        parts.append(chosen)
        missing -= len(chosen)
    if missing > 0:
        raise AssertionError(f"the machines of the shop are used up, {missing} segments are missing")
    return kits, parts


def _chosen(draw: Random, parts: Sequence[Part]) -> list[Part]:
    """The parts of a machine that one kit has: some assemblies are left as they are for this container."""
    assemblies = {(part.assembly, part.assembly_ordinal) for part in parts}
    left = {one for one in sorted(assemblies) if draw.random() < 0.1}
    chosen = [part for part in parts if (part.assembly, part.assembly_ordinal) not in left]
    return (chosen if len(chosen) >= _FEWEST else list(parts))[:_MOST]


def _columns(parts: Sequence[Sequence[Part]], widths_mm: Sequence[float], seed: int) -> dict[str, Any]:
    """What is known of every segment. Lengths vary a little from kit to kit, as drawings do."""
    noise = np.random.default_rng(seed)
    flat = [part for some in parts for part in some]
    known: dict[Part, int] = {}
    row = np.fromiter((known.setdefault(part, len(known)) for part in flat), np.int32, len(flat))
    kinds = list(known)
    texts: dict[str, int] = {}
    place = np.array([texts.setdefault(part.place, len(texts)) for part in kinds], np.int32)
    kit = np.repeat(np.arange(len(parts), dtype=np.int32), [len(some) for some in parts])
    length = np.array([part.length_mm for part in kinds], np.float32)[row]
    length += np.array([part.per_width for part in kinds], np.float32)[row] * np.array(widths_mm, np.float32)[kit]
    length += noise.normal(0, 1.5, len(flat)).astype(np.float32)
    return {
        "places": tuple(texts),
        "kit": kit,
        "place": place[row],
        "family": np.array([part.family for part in kinds], np.int8)[row],
        "pockets": np.array([part.pockets for part in kinds], np.int16)[row],
        "length_mm": np.round(length, 1),
        "thickness_mm": np.array([part.thickness_mm for part in kinds], np.float32)[row],
        "hand": np.array([("", "LEFT", "RIGHT").index(part.hand) for part in kinds], np.int8)[row],
    }


if set(_COLOUR_WEIGHTS) != set(STOCK_COLOURS):
    raise AssertionError("the shop stocks other colours than the rules name")
