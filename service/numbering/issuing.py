"""More numbers into the index: very many sorted in at once, or a few put into what is there."""

from __future__ import annotations

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from service.errors import BadCheck
from service.numbering.columns import Columns, bits_of
from service.numbering.grammar import split
from service.numbering.issued import ASSEMBLY, KIT, PLACE, Fitted, Issued, Weight, halves_of, kit_text, natural
from service.numbering.kit_keys import KEY_BYTES, key_of, kit_of

__all__ = ["EMPTY", "with_numbers"]

EMPTY = Issued(Columns.of(KIT, ()), b"", b"", Columns.of(ASSEMBLY, ()), (), Columns.of(PLACE, ()), (), (), 0)
"""No number at all."""

_HYPHENS = 5
_MOST_PUT_IN = 400
"""To put in one kit takes a third of a millisecond; more new kits are sorted in together with those that are there."""


class _Groups:
    """Numbers by kit and assembly; of the places a set, as bits in the order in which they were met."""

    def __init__(self) -> None:
        self.kits: dict[bytes, dict[str, int]] = {}
        self.places: dict[str, int] = {}

    def place(self, text: str) -> int:
        """The bit of a place."""
        return self.places.setdefault(text, 1 << len(self.places))

    def take(self, numbers: Iterable[str]) -> None:
        """Take numbers in as they are printed."""
        kits: dict[str, tuple[dict[str, int], int]] = {}
        weights: dict[str, Weight] = {}
        for number in numbers:
            kit, assembly, place, check = number.rsplit("-", 3) if number.count("-") == _HYPHENS else [""] * 4
            if not (kit in kits and assembly in weights and place in weights and check.isdecimal()):
                halves = tuple(split(number, "plant", "check", field="number").values())
                kits[kit] = self.kits.setdefault(key_of(halves), {}), Weight.of(kit).value
                weights[assembly], weights[place] = Weight.of(assembly), Weight.of(place)
            some, value = kits[kit]
            at, last = weights[assembly], weights[place]
            if int(check) != 98 - ((value * at.shift + at.value) * last.shift + last.value) * 100 % 97:
                raise BadCheck(
                    f"the check digits {check} do not fit what stands before them",
                    field="number",
                    value=number,
                    todo="Compare the number with the piece or the records",
                )
            some[assembly] = some.get(assembly, 0) | self.place(place)

    def take_issued(self, issued: Issued) -> None:
        """Take in what was issued before."""
        bits = [self.place(text) for text in issued.place_texts]
        keys = [issued.keys[at : at + KEY_BYTES] for at in range(0, len(issued.keys), KEY_BYTES)]
        groups = [self.kits.setdefault(key, {}) for key in keys]
        for text, fitted in zip(issued.assembly_texts, issued.fitted, strict=True):
            patterns = [_moved(pattern, bits) for pattern in fitted.patterns]
            for kit, which in zip(bits_of(fitted.kits), fitted.which, strict=True):
                group = groups[kit]
                group[text] = group.get(text, 0) | patterns[which]


def with_numbers(issued: Issued, numbers: Iterable[str]) -> Issued:
    """What was issued before and these numbers, as they are printed; those that are there already change nothing.

    Raises:
        BadCharacter, BadNumber: a number leaves the grammar, by position.
        BadCheck: check digits that do not fit.
    """
    more = _Groups()
    more.take(numbers)
    known = sum(_has_kit(issued.keys, key) for key in more.kits)
    if len(more.kits) - known > _MOST_PUT_IN:
        more.take_issued(issued)
        return _built(more)
    for text in sorted(more.places, key=natural):
        issued = _with_place(issued, text)
    for text in sorted({text for some in more.kits.values() for text in some}, key=natural):
        issued = _with_assembly(issued, text)
    for key in sorted(more.kits):
        issued = _with_kit(issued, key)
    bits = [1 << bisect_left(issued.place_texts, natural(text), key=natural) for text in more.places]
    return _with_patterns(issued, more, bits)


def _moved(pattern: int, bits: Sequence[int]) -> int:
    """A set of places, each in its other order."""
    moved = 0
    for place in bits_of(pattern):
        moved |= bits[place]
    return moved


def _built(groups: _Groups) -> Issued:
    place_texts = tuple(sorted(groups.places, key=natural))
    bits = [1 << place_texts.index(text) for text in groups.places]
    keys = sorted(groups.kits)
    by_assembly: dict[str, list[tuple[int, int]]] = {}
    moved: dict[int, int] = {}
    for kit, key in enumerate(keys):
        for text, pattern in groups.kits[key].items():
            if pattern not in moved:
                moved[pattern] = _moved(pattern, bits)
            by_assembly.setdefault(text, []).append((kit, moved[pattern]))
    assembly_texts = tuple(sorted(by_assembly, key=natural))
    kits = [kit_of(key) for key in keys]
    return Issued(
        kits=Columns.of(KIT, kits),
        keys=b"".join(keys),
        remainders=bytes([Weight.of(kit_text(kit)).value for kit in kits]),
        assemblies=Columns.of(ASSEMBLY, [halves_of(text) for text in assembly_texts]),
        assembly_texts=assembly_texts,
        places=Columns.of(PLACE, [halves_of(text) for text in place_texts]),
        place_texts=place_texts,
        fitted=tuple(_fitted(by_assembly[text], len(keys)) for text in assembly_texts),
        count=sum(pattern.bit_count() for some in groups.kits.values() for pattern in some.values()),
    )


def _fitted(some: Sequence[tuple[int, int]], count: int) -> Fitted:
    written = bytearray(b"0" * count)
    known: dict[int, int] = {}
    which = []
    for kit, pattern in some:
        written[count - 1 - kit] = ord("1")
        which.append(known.setdefault(pattern, len(known)))
    return Fitted(int(written, 2), _narrow(which), tuple(known))


def _narrow(which: Iterable[int]) -> array[int]:
    """Numbers in as few bytes each as the largest needs."""
    numbers = list(which)
    largest = max(numbers, default=0)
    return array("B" if largest < 1 << 8 else "H" if largest < 1 << 16 else "L", numbers)


def _has_kit(keys: bytes, key: bytes) -> bool:
    at = _kit_place(keys, key)
    return keys[at * KEY_BYTES : (at + 1) * KEY_BYTES] == key


def _kit_place(keys: bytes, key: bytes) -> int:
    """Where a kit stands or belongs."""
    return bisect_left(range(len(keys) // KEY_BYTES), key, key=lambda at: keys[at * KEY_BYTES : (at + 1) * KEY_BYTES])


def _opened(bits: int, at: int) -> int:
    """A set with room for one more before the ``at``-th."""
    return (bits & ((1 << at) - 1)) | (bits >> at << (at + 1))


def _with_place(issued: Issued, text: str) -> Issued:
    at = bisect_left(issued.place_texts, natural(text), key=natural)
    if issued.place_texts[at : at + 1] == (text,):
        return issued
    return replace(
        issued,
        places=issued.places.with_text(at, halves_of(text)),
        place_texts=(*issued.place_texts[:at], text, *issued.place_texts[at:]),
        fitted=tuple(
            Fitted(fitted.kits, fitted.which, tuple(_opened(pattern, at) for pattern in fitted.patterns))
            for fitted in issued.fitted
        ),
    )


def _with_assembly(issued: Issued, text: str) -> Issued:
    at = bisect_left(issued.assembly_texts, natural(text), key=natural)
    if issued.assembly_texts[at : at + 1] == (text,):
        return issued
    return replace(
        issued,
        assemblies=issued.assemblies.with_text(at, halves_of(text)),
        assembly_texts=(*issued.assembly_texts[:at], text, *issued.assembly_texts[at:]),
        fitted=(*issued.fitted[:at], Fitted(0, _narrow(()), ()), *issued.fitted[at:]),
    )


def _with_kit(issued: Issued, key: bytes) -> Issued:
    if _has_kit(issued.keys, key):
        return issued
    at = _kit_place(issued.keys, key)
    halves = kit_of(key)
    remainder = bytes([Weight.of(kit_text(halves)).value])
    return replace(
        issued,
        kits=issued.kits.with_text(at, halves),
        keys=issued.keys[: at * KEY_BYTES] + key + issued.keys[at * KEY_BYTES :],
        remainders=issued.remainders[:at] + remainder + issued.remainders[at:],
        fitted=tuple(Fitted(_opened(fitted.kits, at), fitted.which, fitted.patterns) for fitted in issued.fitted),
    )


def _with_patterns(issued: Issued, more: _Groups, bits: Sequence[int]) -> Issued:
    """The places that kits have come to have; kits, assemblies and places are all there."""
    fitted = list(issued.fitted)
    count = issued.count
    for text, some in _by_assembly(more):
        at = bisect_left(issued.assembly_texts, natural(text), key=natural)
        before = fitted[at]
        patterns = list(before.patterns)
        known = {pattern: nth for nth, pattern in enumerate(patterns)}
        which = before.which.tolist()
        kits = before.kits
        for key, provisional in some:
            kit = _kit_place(issued.keys, key)
            rank = (kits & ((1 << kit) - 1)).bit_count()
            had = patterns[which[rank]] if kits >> kit & 1 else 0
            pattern = had | _moved(provisional, bits)
            count += pattern.bit_count() - had.bit_count()
            if pattern not in known:
                known[pattern] = len(patterns)
                patterns.append(pattern)
            if kits >> kit & 1:
                which[rank] = known[pattern]
            else:
                which.insert(rank, known[pattern])
                kits |= 1 << kit
        fitted[at] = Fitted(kits, _narrow(which), tuple(patterns))
    return replace(issued, fitted=tuple(fitted), count=count)


def _by_assembly(more: _Groups) -> Iterator[tuple[str, list[tuple[bytes, int]]]]:
    found: dict[str, list[tuple[bytes, int]]] = {}
    for key, some in more.kits.items():
        for text, pattern in some.items():
            found.setdefault(text, []).append((key, pattern))
    yield from found.items()
