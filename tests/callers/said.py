"""What somebody says on the telephone about one segment, and who says such things."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Shares = NDArray[np.float64]
"""A share or a likelihood for every segment of a shop."""


@dataclass(frozen=True, slots=True)
class Said:
    """One answer: what was asked, and the caller's words."""

    question: str
    answer: str


@dataclass(frozen=True, slots=True)
class Call:
    """One call. ``segment`` is the true one, which nobody at the desk knows; ``mark`` is empty if none can be read."""

    segment: int
    mark: str
    came_by: str
    answers: tuple[Said, ...]


class Caller(Protocol):
    """A way of being wrong, of which everything is known: calls are drawn by it, and their likelihood is computed."""

    def call(self, draw: Random, segment: int) -> Call:
        """What is said of a segment."""
        ...

    def log_likelihood(self, call: Call) -> Shares:
        """For every segment of the shop the natural logarithm of the probability that just this is said of it."""
        ...
