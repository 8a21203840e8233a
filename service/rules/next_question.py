"""Which question leaves the fewest: the expected drop in entropy over the answers that a caller may give.

The uncertainty is counted in bits, as C. E. Shannon does ("A Mathematical Theory of Communication", 1948, section 6): 0
when one segment is certain, 10 when a thousand are alike. What a question is expected to take off it is the mutual
information of segment and answer. A caller who is often wrong, or often has no answer, makes a question worth less.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

Channel = Sequence[Sequence[float]]
"""For each fact a row: how likely each answer is when that fact holds. Each row adds up to 1."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a question is worth.

    Attributes:
        gain_bits: the expected drop in entropy, callers without an answer counted in.
        answers: the answers with the share that each is expected with, the likeliest first.
    """

    gain_bits: float
    answers: tuple[tuple[str, float], ...]


NOTHING = Worth(0.0, ())


def entropy_bits(shares: Iterable[float]) -> float:
    """The entropy of shares that add up to 1, in bits."""
    return max(0.0, -sum(share * math.log2(share) for share in shares if share > 0))


def drop_bits(facts: Sequence[float], channel: Channel) -> float:
    """The expected drop in entropy when one of these answers comes.

    Args:
        facts: how likely each fact is; they add up to 1.
        channel: for each fact, how likely each answer is.
    """
    answers = answer_shares(facts, channel)
    inside = sum(share * entropy_bits(row) for share, row in zip(facts, channel, strict=True))
    return max(0.0, entropy_bits(answers) - inside)


def answer_shares(facts: Sequence[float], channel: Channel) -> list[float]:
    """How likely each answer is."""
    shares = [0.0] * (len(channel[0]) if channel else 0)
    for share, row in zip(facts, channel, strict=True):
        if share > 0:
            for at, likely in enumerate(row):
                shares[at] += share * likely
    return shares


def expected_entropy_bits(segments: Sequence[float], channel: Channel) -> float:
    """The entropy that is left after an answer, on average; for each segment the channel has a row."""
    left = 0.0
    for at, share in enumerate(answer_shares(segments, channel)):
        if share > 0:
            left += share * entropy_bits(prior * row[at] / share for prior, row in zip(segments, channel, strict=True))
    return left


def named(shares: Mapping[str, float], *, wrong: float, unsure: float, unknown: float = 0.0) -> Worth:
    """The worth of a question that is answered by a name: the right one, or with ``wrong`` any of them.

    Args:
        shares: how likely each name is the right one; they add up to 1, what is not on record left out.
        wrong: the share of answers that say nothing of the part.
        unsure: the share of callers without an answer.
        unknown: the share of the likelihood of segments of which nothing is on record.
    """
    count = len(shares)
    if count < 2:
        return NOTHING
    answers = {name: (1 - wrong) * share + wrong / count for name, share in shares.items()}
    # One row as another: the right name, and all the others alike.
    row = [1 - wrong + wrong / count, *[wrong / count] * (count - 1)]
    gain = max(0.0, entropy_bits(answers.values()) - entropy_bits(row))
    return Worth(gain * (1 - unsure) * (1 - unknown), ranked(answers))


def told(
    shares: Sequence[float], answers: Sequence[str], channel: Channel, *, unsure: float, unknown: float = 0.0
) -> Worth:
    """The worth of a question whose answers may each be given for several facts.

    Args:
        shares: how likely each fact is; they add up to 1, what is not on record left out.
        answers: the answers, in the order of the channel's columns.
        channel: for each fact how likely each answer is.
        unsure: the share of callers without an answer.
        unknown: the share of the likelihood of segments of which nothing is on record. They make no answer likelier
            than another, so they take their share off the drop.
    """
    if len(answers) < 2 or not shares:
        return NOTHING
    gain = drop_bits(shares, channel)
    expected = answer_shares(shares, channel)
    return Worth(gain * (1 - unsure) * (1 - unknown), ranked(dict(zip(answers, expected, strict=True))))


def channel_of(likelihoods: Sequence[Sequence[float]]) -> list[list[float]]:
    """A channel from likelihoods: each row scaled to add up to 1, since one of the answers is given."""
    rows = []
    for row in likelihoods:
        total = sum(row)
        rows.append([one / total for one in row] if total > 0 else [1 / len(row)] * len(row))
    return rows


def ranked(shares: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """Answers with their shares, the likeliest first."""
    return tuple(sorted(shares.items(), key=lambda item: (-item[1], item[0])))
