"""Where a machine stood when: stays that never overlap, and what a move does to them.

A stay lasts from a moment up to, but not including, the next. Times are ISO 8601 texts of one form, which sort as the
times themselves do.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Stay:
    """A stay on a line, or on none.

    Attributes:
        line: the line, None where the machine stood on no line.
        since: when it began.
        until: when it ended; None while it lasts; the same as ``since`` for one that was recorded by mistake.
        id: the record's, None for one that is not recorded yet.
    """

    line: int | None
    since: str
    until: str | None
    id: int | None = None

    @property
    def was(self) -> bool:
        """Whether it ever was: a stay that ended when it began answers for no moment."""
        return self.until is None or self.until > self.since

    def covers(self, moment: str) -> bool:
        """Whether it answers for a moment."""
        return self.since <= moment and (self.until is None or moment < self.until)


@dataclass(frozen=True, slots=True)
class Move:
    """What to record: the stay that ends at the new one's beginning, if one lasted then, and the new stay."""

    ends: Stay | None
    begins: Stay


def stay_at(stays: Iterable[Stay], moment: str) -> Stay | None:
    """The stay that answers for a moment; None before the first."""
    return next((stay for stay in stays if stay.covers(moment)), None)


def move(stays: Sequence[Stay], line: int | None, since: str) -> Move | None:
    """What a move to a line at a moment does; None when the machine already stands there then.

    What comes later stays as it is: the new stay ends where the next recorded one begins. A move at the very moment
    of an earlier one puts that one right: it ends when it began.
    """
    here = stay_at(stays, since)
    if here is not None and here.line == line:
        return None
    later = [stay.since for stay in stays if stay.was and stay.since > since]
    return Move(here, Stay(line, since, min(later, default=None)))


def joined(stays: Iterable[Stay]) -> tuple[Stay, ...]:
    """The stays as a person tells them: mistakes left out, two on one line without a gap as one."""
    told: list[Stay] = []
    for stay in sorted((stay for stay in stays if stay.was), key=lambda stay: stay.since):
        if told and told[-1].line == stay.line and told[-1].until == stay.since:
            told[-1] = replace(told[-1], until=stay.until)
        else:
            told.append(stay)
    return tuple(told)
