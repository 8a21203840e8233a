"""The choice of a QR Code's mask against the encoder's own masks and against the rules counted module by module."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

import pytest
import segno
from hypothesis import given, settings
from hypothesis import strategies as st

from service.marks.qr_masks import MASKS, QrLevel, best_masked, penalty
from service.marks.symbols import QR_ALPHANUMERIC

Rows = Sequence[Sequence[bool]]
TEXTS = st.text(alphabet=sorted(QR_ALPHANUMERIC), min_size=1, max_size=90)
LEVELS: list[QrLevel] = ["L", "M", "Q", "H"]


def masked(text: str, level: QrLevel, mask: int) -> Rows:
    symbol = segno.make_qr(text, error=level, mode="alphanumeric", boost_error=False, mask=mask)
    return [[bool(module) for module in row] for row in symbol.matrix]


def counted(rows: Rows) -> int:
    """The penalty as table 11 of ISO/IEC 18004, 7.8.3.1 says it (from memory, well known), one module at a time."""
    columns = list(zip(*rows, strict=True))
    size, cost = len(rows), 0
    for line in [*rows, *columns]:
        cost += sum(length - 2 for length in (len(list(run)) for _, run in groupby(line)) if length >= 5)
        padded = [False] * 4 + list(line) + [False] * 4
        for start in range(4, size - 3 + 1):
            if padded[start : start + 7] == [True, False, True, True, True, False, True]:
                light = not any(padded[start - 4 : start]) or not any(padded[start + 7 : start + 11])
                cost += 40 if light else 0
    for y in range(size - 1):
        for x in range(size - 1):
            cost += 3 if len({rows[y][x], rows[y][x + 1], rows[y + 1][x], rows[y + 1][x + 1]}) == 1 else 0
    percent = 100 * sum(map(sum, rows)) / size**2
    return cost + 10 * int(abs(percent - 50) / 5)


def long_integer(lines: Rows) -> int:
    return int("".join("".join("01"[dark] for dark in line) + "0000" for line in lines), 2)


@settings(max_examples=50, deadline=None)
@given(text=TEXTS, level=st.sampled_from(LEVELS))
def test_it_is_one_of_the_encoder_s_symbols_and_none_of_them_is_better(text: str, level: QrLevel) -> None:
    symbols = [masked(text, level, mask) for mask in MASKS]
    chosen = [list(row) for row in best_masked(text, level)]
    assert chosen in symbols
    assert counted(chosen) == min(counted(symbol) for symbol in symbols)


@settings(max_examples=100, deadline=None)
@given(
    st.integers(11, 25).flatmap(
        lambda n: st.lists(st.lists(st.booleans(), min_size=n, max_size=n), min_size=n, max_size=n)
    )
)
def test_the_penalty_is_what_counting_gives(rows: list[list[bool]]) -> None:
    columns = [list(column) for column in zip(*rows, strict=True)]
    assert penalty(long_integer(rows), long_integer(columns), len(rows)) == counted(rows)


@pytest.mark.parametrize(
    ("line", "cost"),
    [
        ("1011101000010101", 40),
        ("0101000010111010", 40),
        ("1011101010101010", 40),  # at the edge: the quiet zone before it is light
        ("1010111010101010", 0),
        ("0101010101011101", 40),  # and after it
    ],
)
def test_a_pattern_like_a_finder_costs_forty(line: str, cost: int) -> None:
    """In a chequered symbol nothing else costs but its one line."""
    size = len(line)
    chequered = [[bool((x + y) % 2) for x in range(size)] for y in range(size)]
    with_line = [*chequered[:7], [digit == "1" for digit in line], *chequered[8:]]
    columns = [list(column) for column in zip(*with_line, strict=True)]
    total = penalty(long_integer(with_line), long_integer(columns), size)
    assert total == counted(with_line)
    assert (total >= 40) == bool(cost)
