"""What a search over issued numbers answers."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from service.numbering.alignment import align, assumed
from service.numbering.error_model import ErrorModel
from service.numbering.fragment import Fragment

__all__ = ["Match"]


@dataclass(frozen=True)
class Match:
    """An issued number that a fragment may come from.

    Attributes:
        number: the number as it is printed.
        cost: the natural logarithm of one over the likelihood that the fragment is what became of it.
        fragment: the fragment.
        model: the costs of what can go wrong.
    """

    number: str
    cost: float
    fragment: Fragment = field(repr=False)
    model: ErrorModel = field(repr=False)

    @cached_property
    def assumed(self) -> tuple[str, ...]:
        """What has to be true for this to be the number, one clause each: ``5 read as S``, ``tail missing``.

        Worked out when it is asked for: of many matches only those that are shown need it.
        """
        found = align(self.fragment.read, self.number.replace("-", ""), self.model)
        clauses = assumed(found, self.model) if found else ()
        if not self.fragment.has_hyphens:
            clauses = (*clauses, "hyphens lost")
        if self.fragment.unknown:
            signs = "sign" if self.fragment.unknown == 1 else "signs"
            clauses = (*clauses, f"{self.fragment.unknown} {signs} unknown")
        return clauses
