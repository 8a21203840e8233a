"""The lint of all marks of a kit at once: what they have in common is looked at once, and nothing is taken for granted.

Marks of a kit differ in few texts. Each text is placed and linted alone; if no part of any mark reaches into the room
of another part of any mark, there is nothing left to find. Only otherwise is mark after mark linted as a whole.

Of the numbers, of which no two are alike, one stands for all: as wide as the widest and as high as the highest, its ink
filling the whole box. Larger letters, and less ink inside the same box, never break a rule that it keeps.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, islice

from schemas.label_template import LabelTemplate, TextField
from service.errors import BadInput
from service.findings import Finding
from service.marks.content import MarkFacts
from service.marks.items import Extent, Item, PlacedSymbol
from service.marks.layout import bare_layout, lint_mark, parts, shown
from service.marks.layout_lint import lint_layout
from service.marks.lettering import FontMetrics, Typeface
from service.marks.placing import stands_alone, widest_number

_NUMBERS_AT_ONCE = 2
_TEXTS_KEPT = 4096
_NEVER = Extent(0.0, 0.0, 0.0, 0.0)
"""Stands for a text that was never looked at; compared by identity."""


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
    plate = _plate(template, typeface["regular"], typeface["bold"], per_mm)
    rooms: list[Extent] = []
    for index, (field, texts) in enumerate(_columns(template, different)):
        room = _room_of_numbers(template, field, texts, typeface, per_mm)
        if room is not None:
            rooms.append(room)
            continue
        try:
            alone = [plate.room(index, text, facts) for text, facts in texts.items()]
        except _Unsound:
            return False
        inked = [room for room in alone if room is not None]
        if inked:
            rooms.append(functools.reduce(Extent.around, inked))
    return not any(one.overlaps(other) for one, other in combinations(rooms, 2))


class _Unsound(Exception):
    """A part of a mark that cannot be placed, or that the lint has something against."""


class _Plate:
    """A template in one resolution, and what was found of the texts that stood alone on it: kits share most of them."""

    def __init__(self, template: LabelTemplate, typeface: Typeface, per_mm: float) -> None:
        self._template, self._typeface, self._per_mm = template, typeface, per_mm
        self._rooms: dict[tuple[int, str], Extent | None] = {}

    def room(self, index: int, text: str, facts: MarkFacts) -> Extent | None:
        """The room that a part takes up, None for none.

        Args:
            index: of the part, in the order of ``layout.parts``.
            text: what it shows.
            facts: of any mark that shows it.

        Raises:
            _Unsound: the part alone breaks a rule.
        """
        known = self._rooms.get((index, text), _NEVER)
        if known is not _NEVER:
            return known
        room = self._placed(index, facts)
        if len(self._rooms) >= _TEXTS_KEPT:
            self._rooms.clear()
        self._rooms[index, text] = room
        return room

    def _placed(self, index: int, facts: MarkFacts) -> Extent | None:
        template, per_mm = self._template, self._per_mm
        place = next(islice(parts(template, facts, self._typeface, per_mm, black_only=False), index, None))
        try:
            items = tuple(place())
        except BadInput as error:
            raise _Unsound from error
        if lint_layout(template, bare_layout(template, per_mm, items)):
            raise _Unsound
        return _room(items) if items else None


@functools.lru_cache(maxsize=16)
def _plate(template: LabelTemplate, regular: FontMetrics, bold: FontMetrics, per_mm: float) -> _Plate:
    return _Plate(template, {"regular": regular, "bold": bold}, per_mm)


def _columns(
    template: LabelTemplate, different: dict[tuple[str, ...], MarkFacts]
) -> Iterator[tuple[TextField | None, dict[str, MarkFacts]]]:
    """For each part of the template its text field, if it is one, and every text in it with a mark that shows it."""
    before, after = (None for _ in template.rules), (None for _ in (*template.symbols, *template.pictures))
    fields = [None, *before, *template.fields, *after]
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
