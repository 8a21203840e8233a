"""Which segments touch: the joints that nobody declared, read off the outlines in assembly coordinates."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from sqlalchemy import Connection

from service.outlines.contact import contacts
from service.outlines.stored import from_bytes
from service.store import cutfiles
from service.store.values import RevisionRow

Pairs = tuple[tuple[int, int], ...]
_Shape = tuple[str, str, float, float, float]
_Deck = Sequence[tuple[str, RevisionRow]]

_DECKS_KEPT = 4096
_compared: OrderedDict[tuple[_Shape, ...], Pairs] = OrderedDict()
"""Decks whose outlines were compared, by the shapes in their order, the one that was not asked for longest first.

Released shapes never change, and a kit is looked at again when it is issued, corrected, or copied to the next machine.
"""
_compared_lock = threading.Lock()


def touching(connection: Connection, decks: Iterable[Mapping[str, RevisionRow]]) -> Iterator[tuple[str, str]]:
    """Pairs of numbers whose outlines touch.

    Args:
        connection: one moment of the records.
        decks: for each deck of each assembly, the revision that each number is cut from.
    """
    sorted_decks = [sorted(parts.items()) for parts in decks if len(parts) > 1]
    for deck, pairs in zip(sorted_decks, _pairs(connection, sorted_decks), strict=True):
        for one, other in pairs:
            yield deck[one][0], deck[other][0]


def _pairs(connection: Connection, decks: Sequence[_Deck]) -> list[Pairs]:
    """Which parts of each deck touch; only outlines that were never compared are read."""
    shapes = [_shapes(deck) for deck in decks]
    known = {of_deck: pairs for of_deck in set(shapes) if (pairs := _remembered(of_deck)) is not None}
    new = {of_deck: deck for of_deck, deck in zip(shapes, decks, strict=True) if of_deck not in known}
    wanted = {revision.id for deck in new.values() for _number, revision in deck}
    drawings = cutfiles.drawing_bytes(connection, wanted) if wanted else {}
    for of_deck, deck in new.items():
        known[of_deck] = _compare([drawings[revision.id] for _number, revision in deck])
        _remember(of_deck, known[of_deck])
    return [known[of_deck] for of_deck in shapes]


def forget_compared() -> None:
    """Compare every outline anew from now on."""
    with _compared_lock:
        _compared.clear()


def _shapes(deck: _Deck) -> tuple[_Shape, ...]:
    """What the outlines of a deck are: the released bytes, how they were read, and the size that came out."""
    return tuple(
        (revision.sha256, revision.units, revision.area_mm2, revision.width_mm, revision.height_mm)
        for _number, revision in deck
    )


def _remembered(shapes: tuple[_Shape, ...]) -> Pairs | None:
    with _compared_lock:
        pairs = _compared.get(shapes)
        if pairs is not None:
            _compared.move_to_end(shapes)
        return pairs


def _remember(shapes: tuple[_Shape, ...], pairs: Pairs) -> None:
    with _compared_lock:
        _compared[shapes] = pairs
        while len(_compared) > _DECKS_KEPT:
            _compared.popitem(last=False)


def _compare(drawings: Sequence[bytes]) -> Pairs:
    """Which of the drawings of one deck touch, by their places in the order given."""
    parts = {f"{index:06}": from_bytes(data) for index, data in enumerate(drawings)}
    return tuple((int(contact.a), int(contact.b)) for contact in contacts(parts))
