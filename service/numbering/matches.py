"""What a search over issued numbers answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from service.numbering.alignment import Alignment, align, assumed
from service.numbering.error_model import ErrorModel
from service.numbering.fragment import Fragment

__all__ = ["Match"]

_CHECK_DIGITS = 2


@dataclass(frozen=True)
class Match:
    """An issued number that a fragment may come from.

    Attributes:
        number: the number as it is printed.
        cost: the natural logarithm of one over the likelihood that the fragment is what became of it.
        fragment: the fragment.
        model: the costs of what can go wrong.
        said: what was assumed before there was a fragment, one clause each.
    """

    number: str
    cost: float
    fragment: Fragment = field(repr=False)
    model: ErrorModel = field(repr=False)
    said: tuple[str, ...] = field(default=(), repr=False)

    @cached_property
    def assumed(self) -> tuple[str, ...]:
        """What has to be true for this to be the number, one clause each: ``5 read as S``, ``tail missing``.

        Worked out when it is asked for: of many matches only those that are shown need it.
        """
        found = align(self.fragment.read, self.number.replace("-", ""), self.model)
        clauses = [*self.said, *(_broken_off_or_slipped(found, self.model) if found else ())]
        if not self.fragment.has_hyphens and len(self.fragment.read) > _CHECK_DIGITS:
            clauses.append("hyphens lost")
        if self.fragment.unknown:
            signs = "symbol" if self.fragment.unknown == 1 else "symbols"
            clauses.append(f"{self.fragment.unknown} {signs} unknown")
        return tuple(clauses)


def _broken_off_or_slipped(found: Alignment, model: ErrorModel) -> tuple[str, ...]:
    """The clauses of an alignment; of runs of unread signs those that hide any, and a check left out by its name."""
    steps = found.steps
    clauses = list(assumed(found, model))
    if steps[-1].slip == "tail" and len(steps[-1].true) == _CHECK_DIGITS:
        clauses[-1] = "check not given"
    hiding = [at for at, step in enumerate(steps) if step.slip == "run" and step.true]
    if 0 in hiding:
        clauses.insert(0, "head missing")
    if any(0 < at < len(steps) - 1 for at in hiding):
        clauses.append("a gap between")
    if len(steps) - 1 in hiding:
        clauses.append("tail missing")
    return tuple(clauses)
