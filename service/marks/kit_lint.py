"""The lint of all marks of a kit at once: what they have in common is looked at once, and nothing is taken for granted.

Marks of a kit differ in few texts. Each text is placed and linted alone; if no part of any mark reaches into the room
of another part of any mark, there is nothing left to find. Only otherwise is mark after mark linted as a whole.

Of the numbers, of which no two are alike, one stands for all: as wide as the widest and as high as the highest, its ink
filling the whole box. Larger letters, and less ink inside the same box, never break a rule that it keeps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, islice

from schemas.label_template import LabelTemplate, TextField
from service.errors import BadInput
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.items import Extent, Item, PlacedSymbol
from service.marks.layout import assembled, bare_layout, lint_mark, parts, shown
from service.marks.layout_lint import lint_layout
from service.marks.lettering import Typeface
from service.marks.placing import stands_alone, widest_number

_NUMBERS_AT_ONCE = 2


def lint_marks(
    template: LabelTemplate, marks: Iterable[MarkFacts], typeface: Typeface, dots_per_mm: float
) -> Iterator[tuple[MarkFacts, Finding]]:
    """Everything that stands against printing these marks, as ``lint_mark`` finds it, with the mark where it was found.

    Of marks that show the same only the first is named.
    """
    different: dict[tuple[str, ...], MarkFacts] = {}
    for facts in marks:
        different.setdefault(shown(template, facts), facts)
    if not different or _nothing_to_find(template, different, typeface, dots_per_mm):
        return
    for facts in different.values():
        for finding in lint_mark(template, facts, typeface, dots_per_mm):
            yield facts, finding


def _nothing_to_find(
    template: LabelTemplate, different: dict[tuple[str, ...], MarkFacts], typeface: Typeface, per_mm: float
) -> bool:
    """Whether every part of every mark is sound alone, and no two parts ever come near each other."""
    rooms: list[Extent] = []
    for index, (field, texts) in enumerate(_columns(template, different)):
        room = _room_of_numbers(template, field, texts, typeface, per_mm)
        if room is not None:
            rooms.append(room)
            continue
        room = None
        for facts in texts.values():
            place = next(islice(parts(template, facts, typeface, per_mm, black_only=False), index, None))
            try:
                items = tuple(place())
            except BadInput:
                return False
            if lint_layout(template, assembled(template, facts, per_mm, items)):
                return False
            if items:
                room = _room(items) if room is None else _room(items).around(room)
        if room is not None:
            rooms.append(room)
    return not any(one.overlaps(other) for one, other in combinations(rooms, 2))


def _columns(
    template: LabelTemplate, different: dict[tuple[str, ...], MarkFacts]
) -> Iterator[tuple[TextField | None, dict[str, MarkFacts]]]:
    """For each part of the template its text field, if it is one, and every text in it with a mark that shows it."""
    fields = [None, *(None for _ in template.rules), *template.fields, *(None for _ in template.symbols)]
    marks = list(different.values())
    for field, column in zip(fields, zip(*different, strict=True), strict=True):
        yield field, dict(zip(column, marks, strict=True))


def _room_of_numbers(
    template: LabelTemplate, field: TextField | None, texts: Iterable[str], typeface: Typeface, per_mm: float
) -> Extent | None:
    """The box of the numbers, if every one of them is sound wherever in it its ink lies; None if nobody can say so."""
    numbers = [text for text in texts if text]
    if field is None or len(numbers) < _NUMBERS_AT_ONCE or not stands_alone(field):
        return None
    run = widest_number(field, numbers, typeface, template=template)
    if run is None or lint_layout(template, bare_layout(template, per_mm, (run,))):
        return None
    return run.extent


def _room(items: Sequence[Item]) -> Extent:
    """The rectangle of everything that is inked or kept free of ink."""
    first, *others = [item.quiet_extent if isinstance(item, PlacedSymbol) else item.extent for item in items]
    for extent in others:
        first = first.around(extent)
    return first
