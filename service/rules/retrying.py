"""How often and how long something that nobody takes is tried again."""

from __future__ import annotations

FIRST_WAIT_S = 10
"""After the first try that failed."""

GROWS = 3
"""Each wait is so many times the one before."""

LONGEST_WAIT_S = 6 * 3600
"""No wait is longer: a receiver that is repaired in the morning has its notices by noon."""

MOST_TRIES = 12
"""After so many tries, a day and three hours after the first, it is given up."""


def wait_after(tries: int) -> int | None:
    """Seconds until the next try after so many that failed; None when it is given up."""
    if tries >= MOST_TRIES:
        return None
    grown: int = FIRST_WAIT_S * GROWS ** (tries - 1)
    return min(grown, LONGEST_WAIT_S)
