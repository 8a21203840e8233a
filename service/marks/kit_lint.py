"""The lint of all marks of a kit at once: what they have in common is looked at once, and nothing is taken for granted.

Marks of a kit differ in few texts. Each text is placed and linted alone; if no part of any mark reaches into the room
of another part of any mark, there is nothing left to find. Only otherwise is mark after mark linted as a whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from schemas.label_template import LabelTemplate
from service.errors import BadInput
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.items import Extent, Item, PlacedSymbol
from service.marks.layout import assembled, lint_mark, parts, shown
from service.marks.layout_lint import lint_layout
from service.marks.lettering import Typeface


def lint_marks(
    template: LabelTemplate, marks: Iterable[MarkFacts], typeface: Typeface, dots_per_mm: float
) -> Iterator[tuple[MarkFacts, Finding]]:
    """Everything that stands against printing these marks, as ``lint_mark`` finds it, with the mark where it was found.

    Of marks that show the same only the first is named.
    """
    different: dict[tuple[str, ...], MarkFacts] = {}
    for facts in marks:
        different.setdefault(shown(template, facts), facts)
    if _nothing_to_find(template, different, typeface, dots_per_mm):
        return
    for facts in different.values():
        for finding in lint_mark(template, facts, typeface, dots_per_mm):
            yield facts, finding


def _nothing_to_find(
    template: LabelTemplate, different: dict[tuple[str, ...], MarkFacts], typeface: Typeface, per_mm: float
) -> bool:
    """Whether every part of every mark is sound alone, and no two parts ever come near each other."""
    rooms: dict[int, Extent] = {}
    met: set[tuple[int, str]] = set()
    for texts, facts in different.items():
        placing = parts(template, facts, typeface, per_mm, black_only=False)
        for index, (text, place) in enumerate(zip(texts, placing, strict=True)):
            if (index, text) in met:
                continue
            met.add((index, text))
            try:
                items = tuple(place())
            except BadInput:
                return False
            if lint_layout(template, assembled(template, facts, per_mm, items)):
                return False
            if items:
                room = _room(items)
                rooms[index] = room.around(rooms[index]) if index in rooms else room
    return not any(one.overlaps(other) for one, other in combinations(rooms.values(), 2))


def _room(items: Sequence[Item]) -> Extent:
    """The rectangle of everything that is inked or kept free of ink."""
    first, *others = [item.quiet_extent if isinstance(item, PlacedSymbol) else item.extent for item in items]
    for extent in others:
        first = first.around(extent)
    return first
