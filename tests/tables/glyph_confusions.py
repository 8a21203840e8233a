"""How engraved letters are taken for one another: damaged and named again, and the table of it written.

``python -m tests.tables.glyph_confusions`` writes ``service/numbering/eye_confusions.py``.

Each sign of the single-stroke font is swept with a cutter, damaged (:mod:`tests.tables.damaged_glyphs`) and held
against all whole signs by a reader who knows that ink gets lost more easily than it appears: the sign under which what
is seen is likeliest is what the damaged one is taken for. All sums are sums of whole numbers, so that every machine
counts the same.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import numpy as np
from numpy.typing import NDArray

from service.numbering.weights import SIGNS
from tests.tables.damaged_glyphs import SHIFTS, STRETCHES, TURNS_DEG, damaged, shifted, whole

TARGET = Path(__file__).parents[2] / "service" / "numbering" / "eye_confusions.py"

COPIES = 300
"""Damaged copies of each sign."""

# Tenths of natural logarithms of likelihoods, beside that of a cell with ink on a stroke or without ink beside one.
# Where a sign has a stroke and none is seen, it may be worn off; where it has none and one is seen, that is dirt or a
# scratch, which is rarer.
_NO_INK_ON_STROKE = -14
_INK_BESIDE_STROKE = -32

# Whole numbers, kept as floating-point ones because those are multiplied faster.
Cells = NDArray[np.float64]


def references() -> tuple[str, Cells]:
    """The whole signs at every small turn, stretch and shift: the sign of each row, and its cells (1 on a stroke)."""
    rows = [
        (sign, shifted(whole(sign, turn_deg=turn, stretch=stretch), dx, dy))
        for sign in SIGNS
        for turn in TURNS_DEG
        for stretch in STRETCHES
        for dx, dy in SHIFTS
    ]
    return "".join(sign for sign, _ in rows), np.array([cells.ravel() for _, cells in rows], dtype=np.float64)


def taken_for(seen: Cells, names: str, known: Cells) -> str:
    """For each row of cells, the sign that it is taken for."""
    both = seen @ known.T
    beside = _INK_BESIDE_STROKE * (seen.sum(axis=1)[:, None] - both)
    missing = _NO_INK_ON_STROKE * (known.sum(axis=1)[None, :] - both)
    return "".join(names[best] for best in (beside + missing).argmax(axis=1))


def confusions(signs: str = SIGNS, copies: int = COPIES) -> dict[str, dict[str, int]]:
    """For each of these signs, how many of its damaged copies were taken for each sign."""
    names, known = references()
    table = {}
    for true in signs:
        rng = Random(f"damaged {true}")
        seen = np.array([damaged(true, rng).ravel() for _ in range(copies)], dtype=np.float64)
        read = taken_for(seen, names, known)
        table[true] = {sign: read.count(sign) for sign in SIGNS if sign in read}
    return table


def module(table: dict[str, dict[str, int]]) -> str:
    """The table as the source of a module."""
    rows = []
    for true, row in table.items():
        cells = ", ".join(
            f'"{read}": {count}' for read, count in sorted(row.items(), key=lambda cell: (-cell[1], cell[0]))
        )
        rows.append(f'    "{true}": {{{cells}}},\n')
    return (
        '"""What damaged signs of the engraving font are taken for: counted, not judged.\n\n'
        "Written by ``python -m tests.tables.glyph_confusions``, which sweeps each sign with a cutter, wears parts of\n"
        "its strokes off, stains, scratches, turns and moves it, and names it again; not to be edited by hand.\n"
        '"""\n\n'
        "from __future__ import annotations\n\n"
        "from collections.abc import Mapping\n\n"
        '__all__ = ["COPIES", "TAKEN_FOR"]\n\n'
        f"COPIES = {COPIES}\n"
        '"""Damaged copies of each sign."""\n\n'
        "TAKEN_FOR: Mapping[str, Mapping[str, int]] = {\n" + "".join(rows) + "}\n"
        '"""The true sign, then what its copies were taken for and how many of them."""\n'
    )


if __name__ == "__main__":
    TARGET.write_text(module(confusions()))
    print(f"{TARGET.relative_to(Path.cwd())} written")
