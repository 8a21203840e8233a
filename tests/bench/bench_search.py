"""Damaged search among a million irregular numbers: time, memory, hits beside the limit, questions needed.

The shop is that of ``tests/shop_of_a_million.py``. Every way is asked for the same damaged numbers in turns.
"""

from __future__ import annotations

import gc
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, closing, contextmanager
from functools import cache, partial
from pathlib import Path
from random import Random
from statistics import median

import numpy as np

from service.numbering.error_model import CameBy, error_model
from service.numbering.fragment import parse_fragment
from service.numbering.number_index import NumberIndex
from service.work.search import search
from service.work.workshop import Workshop
from tests.bench.rounds import ROUNDS, Comparison, Contestant
from tests.bench.search_yardsticks import ColumnScan, ServerTrigrams, SqlTables, nearest_by_edits
from tests.callers.desk import desk_of
from tests.callers.dialogues import questions_needed, true_answers
from tests.callers.facts import Facts
from tests.damaged_numbers import KINDS, Damaged, damaged
from tests.hit_rates import DAMAGES, HitMeter, HitRates
from tests.postgres import PostgresServer
from tests.shop_of_a_million import MILLION, Shop, make_shop

NUMBERS = MILLION
SMALLER_SHOP = 20_000
ASKED = 20
DIALOGUES = 40
CASES = 100
_HIT_COUNTS = (1, 3, 5, 8)
_HEADLESS = {"no prefix", "only a tail"}
# As many times a scan over columns as a search may take that also ranks, says what it assumed and counts other
# readings in.
_GOALS = {"exact": 0.1, "three signs unknown": 1.0, "no prefix": 1.0, "only a tail": 2.0, "two signs misread": 1.0}
_TYPICAL_S, _WORST_S = 0.001, 0.005
_MOST_BYTES = 1_000_000


@contextmanager
def comparisons(
    *,
    numbers: int = NUMBERS,
    smaller: int = SMALLER_SHOP,
    asked: int = ASKED,
    cases: int = CASES,
    dialogues: int = DIALOGUES,
    rounds: int = ROUNDS,
) -> Iterator[list[Comparison]]:
    """Every way over the same numbers; the dialogues in a smaller shop that is on record with all its facts."""
    with ExitStack() as opened:
        folder = Path(opened.enter_context(tempfile.TemporaryDirectory()))
        shop = make_shop(numbers)
        index = NumberIndex.from_numbers(shop.numbers)
        scan = ColumnScan(shop.numbers)
        tables = opened.enter_context(closing(SqlTables(str(folder / "numbers.db"), shop.numbers)))
        server = opened.enter_context(PostgresServer())
        on_server = opened.enter_context(closing(ServerTrigrams(server.url(server.create_database()), shop.numbers)))
        ways = _Ways(shop.numbers, index, scan, tables, on_server)
        desk = opened.enter_context(desk_of(made := make_shop(smaller, seed=11), folder))
        yield [
            *(ways.timed(kind, asked, rounds) for kind in KINDS),
            *ways.waits(asked),
            _memory(shop.numbers, scan, tables),
            *_hits(HitMeter(shop.numbers, index, scan, plant_and_colour(shop)), cases),
            *(_questions(desk, made, dialogues, left) for left in (3, 1)),
        ]


class _Ways:
    def __init__(
        self,
        numbers: Sequence[str],
        index: NumberIndex,
        scan: ColumnScan,
        tables: SqlTables,
        server: ServerTrigrams,
    ) -> None:
        self._numbers, self._index, self._scan, self._tables, self._server = numbers, index, scan, tables, server

    def ranked(self, one: Damaged) -> object:
        """The project's search: the ten likeliest."""
        found = self._index.search(parse_fragment(one.left), error_model(CameBy.EYE), 10)
        if not found:
            raise AssertionError(f"nothing was found for '{one.left}'")
        return found

    def _agreeing(self, one: Damaged) -> int:
        return self._index.consistent(parse_fragment(one.left)).count

    def timed(self, kind: str, asked: int, rounds: int) -> Comparison:
        """All ways to find what is damaged in one manner; the slow ones are asked for fewer."""
        cases, few = damaged(kind, self._numbers, count=asked), damaged(kind, self._numbers, count=asked)[:2]
        headless, misread = kind in _HEADLESS, kind == "two signs misread"
        index, scan, tables, server = self._index, self._scan, self._tables, self._server

        def way(name: str, ask: Callable[[Damaged], object], some: Sequence[Damaged]) -> Contestant:
            return Contestant(name=name, run=lambda: [ask(one) for one in some], count=len(some))

        others = [way("index, ten likeliest", self.ranked, cases)]
        if kind == "exact":
            others.append(way("index, is it issued", lambda one: one.left in index, cases))
            others.append(way("SQL, unique index", lambda one: tables.exact(one.left), cases))
        elif misread:
            others.append(way("FTS5 trigrams, by rank", lambda one: tables.nearest_by_trigrams(one.left), few))
            others.append(way("pg_trgm, most alike", lambda one: server.nearest(one.left), few))
        else:
            others.append(
                way("index, all that agree", lambda one: index.consistent(parse_fragment(one.left)).count, cases)
            )
            others.append(way("SQL LIKE", lambda one: tables.like(one.left, headless=headless), few))
            others.append(way("FTS5 trigrams", lambda one: tables.trigrams(one.left, headless=headless), few))
            others.append(way("pg_trgm", lambda one: server.like(one.left, headless=headless), few))
        others.append(way("RapidFuzz, fewest edits", lambda one: nearest_by_edits(self._numbers, one.left), few[:1]))
        timed_goal = "index, is it issued" if kind == "exact" else "index, ten likeliest"
        return Comparison(
            title=f"Damaged search among {len(self._numbers):,} numbers: {kind}",
            unit="search",
            yardstick=way(
                "NumPy column scan",
                lambda one: scan.near(one.left, 2) if misread else scan.agreeing(one.left, headless=headless),
                cases,
            ),
            others=others,
            goals={timed_goal: _GOALS[kind]},
            rounds=rounds,
        )

    def waits(self, asked: int) -> list[Comparison]:
        """The usual wait for an answer and the longest one, over all kinds of damage."""
        return [self._waits("usual", _TYPICAL_S, median, asked), self._waits("longest", _WORST_S, max, asked)]

    def _waits(self, what: str, most_s: float, of: Callable[[list[float]], float], asked: int) -> Comparison:
        return Comparison(
            title=f"Damaged search among {len(self._numbers):,} numbers: the {what} wait of all kinds",
            unit="search",
            yardstick=Contestant(name="the most that may be", run=lambda: most_s, measures=True),
            others=[Contestant(name="index, ten likeliest", run=lambda: self._wait(asked, of), measures=True)],
            goals={"index, ten likeliest": 1.0},
        )

    def _wait(self, asked: int, of: Callable[[list[float]], float]) -> float:
        return of([self._once(one) for kind in KINDS for one in damaged(kind, self._numbers, count=asked)])

    def _once(self, one: Damaged) -> float:
        """The shorter of two: another process that had its turn is not the search's own time."""
        times = []
        for _ in range(2):
            start = time.perf_counter()
            self.ranked(one)
            times.append(time.perf_counter() - start)
        return min(times)


def _memory(numbers: Sequence[str], scan: ColumnScan, tables: SqlTables) -> Comparison:
    return Comparison(
        title=f"Memory of {len(numbers):,} numbers",
        unit="shop",
        yardstick=Contestant(name="the most that may be", run=lambda: _MOST_BYTES, measures=True),
        others=[
            Contestant(name="index", run=cache(lambda: index_bytes(numbers)), measures=True),
            Contestant(name="NumPy columns", run=lambda: scan.nbytes, measures=True),
            Contestant(name="unique index in SQLite", run=lambda: tables.index_bytes("plain_number"), measures=True),
            Contestant(name="FTS5 trigrams", run=lambda: tables.index_bytes("trigrams"), measures=True),
        ],
        goals={"index": 1.0},
        rounds=1,
        in_bytes=True,
    )


def index_bytes(numbers: Sequence[str]) -> int:
    """What an index holds on to, the texts it was made from counted where it keeps them."""
    gc.collect()
    tracemalloc.start()
    try:
        index = NumberIndex.from_numbers(number[:-1] + number[-1] for number in numbers)
        gc.collect()
        kept, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(index) == len(numbers)
    return kept


def plant_and_colour(shop: Shop) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """One figure for the plant and the stock colour of each segment."""
    facts = Facts(shop)
    return np.asarray(facts.plant * len(facts.colours) + facts.colour)


def _hits(meter: HitMeter, cases: int) -> list[Comparison]:
    """How often the true number is not among the first, beside the fewest times that anybody misses it."""
    return [
        _missed(cache(partial(meter.measure, damage, count, cases=cases)), damage, count, known, cases)
        for damage in DAMAGES
        for count in _HIT_COUNTS
        for known in (0, 1)
    ]


def _missed(
    measured: Callable[[], tuple[HitRates, HitRates]], damage: str, count: int, known: int, cases: int
) -> Comparison:
    """Where none is missed, half a one stands for it: ratios need an amount."""

    def one(name: str, at: int, which: str) -> Contestant:
        def run() -> float:
            rates = measured()[known]
            return max(1 - (rates.limit if which == "limit" else rates.reached)[at], 0.5 / cases)

        return Contestant(name=name, run=run, measures=True)

    return Comparison(
        title=f"The true number is not named, {count} signs {damage}" + (", plant and colour known" if known else ""),
        unit="number",
        yardstick=one("first, the limit", 0, "limit"),
        others=[
            one("first, the index", 0, "index"),
            one("among the first 3, the limit", 1, "limit"),
            one("among the first 3, the index", 1, "index"),
            one("among the first 10, the limit", 2, "limit"),
            one("among the first 10, the index", 2, "index"),
        ],
        rounds=1,
        in_percent=True,
    )


def _questions(desk: Workshop, shop: Shop, dialogues: int, left: int) -> Comparison:
    facts = Facts(shop)
    segments = Random(4).sample(range(len(shop)), dialogues)

    def needed(draw: Random | None) -> float:
        answers = (true_answers(facts, segment, Random(segment)) for segment in segments)
        counts = [questions_needed(lambda asked: search(desk, asked), one, left=left, draw=draw) for one in answers]
        return sum(counts) / len(counts)

    return Comparison(
        title=f"Questions until {'one is' if left == 1 else f'{left} are'} left of {len(shop):,} segments, no mark",
        unit="call",
        yardstick=Contestant(name="in any order", run=lambda: needed(Random(6)), measures=True),
        others=[Contestant(name="the next best one", run=lambda: needed(None), measures=True)],
        goals={"the next best one": 1.0},
        rounds=1,
        in_count=True,
    )
