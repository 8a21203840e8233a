"""``make bench``: prints every figure beside its yardstick. Arguments pick modules: ``python -m tests.bench resolve``.

Each ``tests/bench/bench_*.py`` has a context manager ``comparisons()`` that sets up and gives its comparisons.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

from tests.bench.rounds import measure, table

FOLDER = Path(__file__).parent


def subjects() -> list[str]:
    """What can be measured, by the names of the modules."""
    return sorted(path.stem.removeprefix("bench_") for path in FOLDER.glob("bench_*.py"))


def main(chosen: list[str]) -> int:
    """Measure and print; 1 when a goal was missed, 2 for a subject that does not exist."""
    unknown = sorted(set(chosen) - set(subjects()))
    if unknown:
        print(f"No such figures: {', '.join(unknown)}. There are: {', '.join(subjects())}.", file=sys.stderr)
        return 2
    missed = False
    for subject in chosen or subjects():
        module = importlib.import_module(f"tests.bench.bench_{subject}")
        with module.comparisons() as comparisons:
            for comparison in comparisons:
                figures = measure(comparison)
                print(table(comparison, figures), end="\n\n", flush=True)
                missed = missed or any(figure.met is False for figure in figures)
    return int(missed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
