"""Released outlines compared with each other, each pair once: how two of them meet, and in what two revisions differ.

Released shapes never change, so what was measured once holds as long as the process lives; what was not asked for
longest is forgotten first.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from service.outlines.drawing import Drawing
from service.outlines.joint_fit import CUTTER_MM, JointFit, Piece, joint_fit
from service.outlines.revision_difference import Difference, revision_differences
from service.outlines.stored import from_bytes
from service.rules.locking import JointMeasure

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under which two pieces have to lock.

    Attributes:
        temperature_c: of the pieces that stay in the machine, in °C.
        piece_temperature_c: of the new piece when it is put in.
        cutter_mm: diameter of the cutter that cuts it.
        oversize_mm: how far each of its edges comes out beyond the drawn line; below zero inside it.
    """

    temperature_c: float = 20.0
    piece_temperature_c: float = 20.0
    cutter_mm: float = CUTTER_MM
    oversize_mm: float = 0.0


AS_DRAWN = Conditions()


@dataclass(frozen=True, slots=True)
class Outline:
    """A released outline as the store keeps it; equal ones are one, wherever they come from."""

    digest: bytes
    data: bytes = field(compare=False, repr=False)

    @classmethod
    def of(cls, data: bytes) -> Outline:
        """The outline of kept bytes."""
        return cls(hashlib.blake2b(data, digest_size=16).digest(), data)


@dataclass(frozen=True, slots=True)
class Cut:
    """An outline as it is cut, and how much larger it is than at 20 °C."""

    outline: Outline
    cutter_mm: float = CUTTER_MM
    oversize_mm: float = 0.0
    growth: float = 1.0


class _Kept(Generic[K, V]):
    """Answers by question; the one that was not asked for longest goes first."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._answers: OrderedDict[K, V] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, question: K, answer: Callable[[], V]) -> V:
        with self._lock:
            if question in self._answers:
                self._answers.move_to_end(question)
                return self._answers[question]
        found = answer()
        with self._lock:
            self._answers[question] = found
            while len(self._answers) > self._most:
                self._answers.popitem(last=False)
        return found

    def clear(self) -> None:
        with self._lock:
            self._answers.clear()


_Key = tuple[bytes, float, float, float]
_drawings: _Kept[bytes, Drawing] = _Kept(256)
_measures: _Kept[tuple[_Key, _Key], JointMeasure | None] = _Kept(20_000)
_differences: _Kept[tuple[bytes, bytes, tuple[tuple[str, bytes], ...]], tuple[Difference, ...]] = _Kept(5_000)


def forget_compared_outlines() -> None:
    """Compare every outline anew from now on."""
    for kept in (_drawings, _measures, _differences):
        kept.clear()


def drawing_of(outline: Outline) -> Drawing:
    """The shape of an outline."""
    return _drawings.get(outline.digest, lambda: from_bytes(outline.data))


def fit_of(one: Cut, other: Cut) -> JointFit | None:
    """How two pieces meet, with everything that a picture of it shows."""
    return joint_fit(piece_of(one), piece_of(other))


def measure(one: Cut, other: Cut) -> JointMeasure | None:
    """How two pieces meet, in figures; None where their outlines do not meet."""

    def measured() -> JointMeasure | None:
        fit = fit_of(one, other)
        return None if fit is None else _figures(fit)

    return _measures.get((_key(one), _key(other)), measured)


def differences(before: Outline, after: Outline, neighbours: Mapping[str, Outline]) -> tuple[Difference, ...]:
    """In what two revisions differ; ``neighbours`` by place, so that a joint is called by it."""
    if before == after:
        return ()
    beside = tuple(sorted((name, outline.digest) for name, outline in neighbours.items()))

    def compared() -> tuple[Difference, ...]:
        drawn = {name: drawing_of(outline) for name, outline in neighbours.items()}
        return revision_differences(drawing_of(before), drawing_of(after), drawn)

    return _differences.get((before.digest, after.digest, beside), compared)


def piece_of(cut: Cut) -> Piece:
    """A cut outline as the measuring of joints takes it."""
    return Piece(drawing_of(cut.outline).material, cut.cutter_mm, cut.oversize_mm, cut.growth)


def _key(cut: Cut) -> _Key:
    return cut.outline.digest, cut.cutter_mm, cut.oversize_mm, cut.growth


def _figures(fit: JointFit) -> JointMeasure:
    return JointMeasure(
        length_mm=fit.length_mm,
        least_mm=fit.least_mm,
        median_mm=fit.median_mm,
        greatest_mm=fit.greatest_mm,
        play_mm=fit.play_mm,
        overlap_mm2=fit.overlap_mm2,
        depth_mm=fit.depth_mm,
        at=fit.depth_at or fit.least_at,
        widest_at=fit.greatest_at,
    )
