"""How dangerous it is that a part bolts on where another belongs: how easily it happens, and what then runs wrong.

The weights are common practice without a source; they only put pairs into an order. All of them stand in this file.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappush, heapreplace

SAME_KIT = 1.0
"""Both come out of one crate at the same changeover."""
SAME_PLACE = 0.9
"""Both belong in the same place of one machine, for different containers."""
SAME_MACHINE = 0.6
"""Another place and another container of the same machine."""
LIKE_MACHINE_SAME_PLACE = 0.6
"""The same place of another machine of this class in the plant."""
LIKE_MACHINE = 0.35
OTHER_COLOUR = 0.6
"""A stock colour that differs is seen across the hall, by most people."""
SOME_HOLES = 0.5
"""Not every hole finds a counterpart: a fitter who has a bolt left over may stop."""
THICKNESS_STEP_MM = 10.0
"""A part this much thicker or thinner counts half."""
ONLY_PLACE = 0.8
"""The two are for one container: what differs is their form alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A segment as it is compared with others.

    Attributes:
        number, place, kit, machine: in print; ``machine`` is the birth designation.
        machine_class: letters of the class.
        container: code of the container, for example ``A500``.
        body_mm: greatest width of the container's body, if it is known; ``height_mm`` its height.
        deck: the deck in words, empty where there is none.
        hand: ``LEFT``, ``RIGHT`` or None.
        stock_colour: in words.
        thickness_mm: of the sheet.
        cut_file, revision: what it was cut from.
        shape: equal for parts of which one is the other turned about its holes.
        twin: equal for parts of which one is the other turned, or turned over.
        area_mm2: of its outline; ``reach_mm`` from the middle of its holes to its farthest point, and ``spin_mm`` the
            root of the mean square of that distance over its area.
    """

    number: str
    place: str
    kit: str
    machine: str
    machine_class: str
    container: str
    body_mm: float | None
    height_mm: float | None
    deck: str
    hand: str | None
    stock_colour: str
    thickness_mm: float
    cut_file: str
    revision: str
    shape: int
    twin: int
    area_mm2: float
    reach_mm: float
    spin_mm: float


def interchangeable(one: Part, other: Part) -> bool:
    """Whether the one runs right where the other belongs: the same shape at the same thickness, to a tenth of a mm."""
    return one.shape == other.shape and round(one.thickness_mm, 1) == round(other.thickness_mm, 1)


def alike(one: Part, other: Part) -> float:
    """How alike two parts look, from 0 to 1: the ratios of their areas, reaches and spins."""
    return (
        _ratio(one.area_mm2, other.area_mm2) * _ratio(one.reach_mm, other.reach_mm) * _ratio(one.spin_mm, other.spin_mm)
    )


def danger(one: Part, other: Part, *, every_hole: bool = True) -> float:
    """What a pair is put into its order by, from 0 to 1."""
    thicker = abs(one.thickness_mm - other.thickness_mm)
    score = alike(one, other) * _nearness(one, other) / (1.0 + thicker / THICKNESS_STEP_MM)
    if one.stock_colour != other.stock_colour:
        score *= OTHER_COLOUR
    if not every_hole:
        score *= SOME_HOLES
    if one.container == other.container and one.hand == other.hand and thicker < 0.05:
        score *= ONLY_PLACE
    return score


def _nearness(one: Part, other: Part) -> float:
    if one.kit == other.kit:
        return SAME_KIT
    if one.machine == other.machine:
        return SAME_PLACE if one.place == other.place else SAME_MACHINE
    return LIKE_MACHINE_SAME_PLACE if one.place == other.place else LIKE_MACHINE


def _ratio(one: float, other: float) -> float:
    larger = max(one, other)
    return min(one, other) / larger if larger > 0 else 1.0


def reasons(one: Part, other: Part, *, farthest_mm: float, turned_over: bool) -> tuple[str, ...]:
    """What would be wrong with ``other`` in the place of ``one``, and what makes the two easy to mistake.

    Args:
        one: the part that belongs there.
        other: the part that could be bolted on instead.
        farthest_mm: how far the outlines lie apart where they differ most, when it is bolted on.
        turned_over: whether it then lies with its marked face down.
    """
    return (*_wrong(one, other, farthest_mm=farthest_mm, turned_over=turned_over), *_easy(one, other))


def _wrong(one: Part, other: Part, *, farthest_mm: float, turned_over: bool) -> Iterator[str]:
    if one.twin == other.twin and one.shape != other.shape:
        yield "the mirror twin: it fits turned over, with its mark and its countersinks on the wrong face"
    elif turned_over:
        yield "it has to be turned over, and its mark then lies underneath"
    if one.hand != other.hand and one.hand and other.hand:
        yield f"{other.hand}, where {one.hand} belongs"
    if one.body_mm is not None and other.body_mm is not None and abs(one.body_mm - other.body_mm) >= 0.05:
        apart = other.body_mm - one.body_mm
        yield (
            f"made for a body of {other.body_mm:g} mm, {abs(apart):.1f} mm {'more' if apart > 0 else 'less'} than "
            f"{one.body_mm:g} mm"
        )
    if one.height_mm is not None and other.height_mm is not None and abs(one.height_mm - other.height_mm) >= 0.5:
        apart = other.height_mm - one.height_mm
        yield f"made for a container {abs(apart):g} mm {'taller' if apart > 0 else 'lower'}"
    if abs(one.thickness_mm - other.thickness_mm) >= 0.05:
        yield f"{other.thickness_mm:g} mm thick, where {one.thickness_mm:g} mm belong"
    if one.twin != other.twin:
        yield f"where they differ most their edges lie {farthest_mm:.1f} mm apart"


def _easy(one: Part, other: Part) -> Iterator[str]:
    if one.kit == other.kit:
        yield "both come out of the same crate"
    elif one.machine == other.machine and one.place == other.place:
        yield f"both are {one.place} of {one.machine}, for {one.container} and for {other.container}"
    elif one.machine != other.machine:
        yield f"{one.machine} and {other.machine} are machines of one class"
    if one.stock_colour == other.stock_colour:
        yield f"both are {one.stock_colour}"


def common_place(one: Part, other: Part) -> bool:
    """Whether both belong in the same place, so that one deck has to take either of them."""
    return one.machine == other.machine and one.place == other.place


def deck_steps(one: Part, other: Part, *, move: bool, hole: str, at: tuple[float, float], kits: int) -> tuple[str, ...]:
    """What has to be done so that an odd hole keeps two parts apart, on the machines too.

    Args:
        one: the part that gets the hole.
        other: the part that is kept off.
        move: whether one of its holes is moved; else one is added.
        hole: what the drawing calls it, for example ``hole of 9.0 mm``.
        at: its middle in the drawing.
        kits: how many other kits of that machine have a part for the same place.
    """
    spot = f"x {at[0]:.1f}, y {at[1]:.1f}"
    steps = [
        f"Move the {hole} in {one.cut_file} to {spot}, and release it."
        if move
        else f"Add a {hole} at {spot} to {one.cut_file}, and release it."
    ]
    if common_place(one, other):
        steps.append(
            f"Both belong at {one.place} of {one.machine}, so no fixed stud may stand there: drill its deck at that "
            f"spot for a loose pin that is kept with {one.kit} and set only while {one.container} runs."
        )
    else:
        steps.append(f"Drill the deck of {one.machine} under that hole, the flange too where it covers it; set a stud.")
        if move:
            steps.append(f"Set a stud on {other.machine} at {other.place}, in the hole that the moved one left behind.")
        if kits:
            others = f"the {kits} other kits" if kits > 1 else "the other kit"
            steps.append(f"Parts of {others} for {one.place} of {one.machine} need the hole as well: the stud stays.")
    steps.append("Whoever owns the machine decides whether its deck may be drilled, and isolates it before.")
    return tuple(steps)


@dataclass(frozen=True, slots=True)
class Ranking:
    """The most dangerous pairs, by the places of their parts, the lower place first; and how many there are in all."""

    pairs: tuple[tuple[int, int], ...]
    total: int
    same_shape: int


def ranked(
    parts: Sequence[Part], groups: Sequence[Sequence[int]], agreeing: Sequence[tuple[int, int, bool]], *, most: int
) -> Ranking:
    """Put the pairs of parts of like machines whose holes agree into an order.

    No pair is more dangerous than the ratio of its areas. With the parts of a group in the order of their areas, all
    pairs that cannot come among the first are passed over by one comparison for each part.

    Args:
        parts: all parts. Those of one shape have one pattern of holes.
        groups: the places of the parts of each pattern.
        agreeing: pairs of patterns by their place in ``groups``, each with itself too; whether every hole agrees.
        most: how many pairs are wanted.
    """
    lists: dict[tuple[str, int], list[int]] = {}
    for group, places in enumerate(groups):
        for place in sorted(places, key=lambda place: parts[place].area_mm2):
            lists.setdefault((parts[place].machine_class, group), []).append(place)
    classes = sorted({part.machine_class for part in parts})
    first: list[tuple[float, int, int]] = []
    every = 0
    for here, there, every_hole in agreeing:
        for machine_class in classes:
            ones, others = lists.get((machine_class, here), []), lists.get((machine_class, there), [])
            every += len(ones) * (len(ones) - 1) // 2 if here == there else len(ones) * len(others)
            _take(parts, ones, others, first, every_hole=every_hole, most=most, same=here == there)
    shapes = Counter((part.machine_class, part.shape, round(part.thickness_mm, 1)) for part in parts)
    same_shape = sum(count * (count - 1) // 2 for count in shapes.values())
    return Ranking(
        pairs=tuple((-a, -b) for _, a, b in sorted(first, reverse=True)),
        total=every - same_shape,
        same_shape=same_shape,
    )


def _take(
    parts: Sequence[Part],
    ones: Sequence[int],
    others: Sequence[int],
    first: list[tuple[float, int, int]],
    *,
    every_hole: bool,
    most: int,
    same: bool,
) -> None:
    """Put the pairs of two lists in the order of areas among the first ones, a heap with the least dangerous on top."""
    areas = [parts[place].area_mm2 for place in others]
    for index, place in enumerate(ones):
        one = parts[place]
        least = first[0][0] if len(first) >= most else 0.0
        begin = index + 1 if same else bisect_left(areas, one.area_mm2 * least)
        for other_place in others[begin:]:
            other = parts[other_place]
            # Further on the areas differ more still.
            if one.area_mm2 < other.area_mm2 * least:
                break
            ratio = one.area_mm2 / other.area_mm2
            if min(ratio, 1 / ratio) * _nearness(one, other) < least or interchangeable(one, other):
                continue
            a, b = sorted((place, other_place))
            entry = danger(parts[a], parts[b], every_hole=every_hole), -a, -b
            if len(first) < most:
                heappush(first, entry)
            elif entry > first[0]:
                heapreplace(first, entry)
            least = first[0][0] if len(first) >= most else 0.0
