"""``python -m tests.pictures.search``: the search measured, as tables in ``docs/search.md`` and as pictures.

Arguments pick some of it: ``times hits calls``; each rewrites its own part of the page. All of it takes a quarter of
an hour: a million numbers go into every index that is compared, and each of a thousand calls is held against a shop.
"""

from __future__ import annotations

import re
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import PercentFormatter

from service.numbering.number_index import NumberIndex
from service.work.search import search
from tests.bench.bench_search import comparisons, plant_and_colour
from tests.bench.rounds import Comparison, measure, shown
from tests.bench.rounds import Figure as Measured
from tests.bench.search_yardsticks import ColumnScan
from tests.callers.desk import desk_of, places_found
from tests.callers.dialogues import questions_needed, true_answers
from tests.callers.facts import Facts
from tests.callers.first_caller import FirstCaller
from tests.callers.limit import draw_calls, limits
from tests.callers.other_caller import OtherCaller
from tests.damaged_numbers import KINDS
from tests.hit_rates import COUNTS, DAMAGES, PLACES, HitMeter, HitRates
from tests.shop_of_a_million import MILLION, make_shop

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "docs" / "search.md"
PICTURES = ROOT / "docs" / "pictures"
CASES = 200
CALLS, CALLS_SHOP = 500, 6_000
DIALOGUES, DIALOGUES_SHOP = 10, 6_000

INK, SOFT, SEA, AMBER, RED = "#16302e", "#76827d", "#0e7c83", "#c77700", "#9c1f17"
_COLOURS = {1: INK, 3: SEA, 10: AMBER}
_MARKERS = {1: "o", 3: "s", 10: "^"}


def main(chosen: Sequence[str]) -> int:
    """Measure, draw and write what is chosen, everything by default."""
    mpl.rcParams.update(
        {"font.family": "DejaVu Sans", "font.size": 9, "svg.hashsalt": "kitwright", "svg.fonttype": "none"}
    )
    for name, part in PARTS.items():
        if not chosen or name in chosen:
            _write(name, part())
    return 0


def _times() -> str:
    with comparisons(cases=1, dialogues=1, smaller=300) as made:
        timed = [one for one in made if "Damaged search" in one.title or one.title.startswith("Memory")]
        measured = [(one, measure(one)) for one in timed]
    _speed_picture(measured[: len(KINDS)])
    return "\n\n".join(_table(one, figures) for one, figures in measured)


def _table(comparison: Comparison, figures: Sequence[Measured]) -> str:
    lines = [f"| {comparison.title} | {comparison.unit} | × | goal |", "|---|---:|---:|---:|"]
    for figure in figures:
        amount = f"{figure.amount / 1e6:.2f} MB" if comparison.in_bytes else shown(figure.amount)
        goal = "" if figure.goal is None else f"at most {figure.goal:g}: {'met' if figure.met else '**missed**'}"
        lines.append(f"| {figure.name} | {amount} | {figure.ratio:.2f} | {goal} |")
    return "\n".join(lines)


def _speed_picture(measured: Sequence[tuple[Comparison, Sequence[Measured]]]) -> None:
    figure = Figure(figsize=(9.6, 4.6), facecolor="white", layout="constrained")
    figure.suptitle("Damaged search among a million numbers", fontsize=11, color=INK)
    axes = figure.subplots()
    styles = {
        "index, ten likeliest": ("o", INK, 70), "index, all that agree": ("o", SEA, 34),
        "index, is it issued": ("o", SEA, 34),
        "NumPy column scan": ("s", AMBER, 34), "SQL LIKE": ("D", SOFT, 30), "SQL, unique index": ("D", SOFT, 30),
        "FTS5 trigrams": ("^", SOFT, 36), "FTS5 trigrams, by rank": ("^", SOFT, 36), "pg_trgm": ("v", SOFT, 36),
        "pg_trgm, most alike": ("v", SOFT, 36), "RapidFuzz, fewest edits": ("X", RED, 36),
    }  # fmt: skip
    labels = {
        "index, is it issued": None,
        "SQL, unique index": None,
        "FTS5 trigrams, by rank": None,
        "pg_trgm, most alike": None,
    }
    said: set[str] = set()
    for row, (_, figures) in enumerate(measured):
        axes.axhline(row, color="#eceeea", linewidth=6, zorder=0)
        for one in figures:
            marker, colour, size = styles[one.name]
            label = None if one.name in labels or one.name in said else one.name
            said.add(one.name)
            axes.scatter(one.amount * 1e3, row, marker=marker, color=colour, s=size, label=label, zorder=3)
    axes.set_yticks(range(len(measured)), list(KINDS))
    axes.invert_yaxis()
    axes.set_xscale("log")
    axes.set_xlabel("milliseconds a search, median, further left is faster")
    _plain(axes)
    axes.grid(visible=False, axis="y")
    figure.legend(*axes.get_legend_handles_labels(), loc="outside lower center", ncols=4, frameon=False)
    _saved(figure, "search_speed.svg")


def _hits() -> str:
    shop = make_shop(MILLION)
    meter = HitMeter(
        shop.numbers, NumberIndex.from_numbers(shop.numbers), ColumnScan(shop.numbers), plant_and_colour(shop)
    )
    rates = [one for damage in DAMAGES for count in COUNTS for one in meter.measure(damage, count, cases=CASES)]
    _hits_picture(rates)
    parts = []
    for damage in DAMAGES:
        for known in (False, True):
            head = f"{damage} signs, {'plant and colour known' if known else 'nothing else known'}"
            lines = [
                f"| {head} | first | limit | in 3 | limit | in 10 | limit |",
                "|---|---:|---:|---:|---:|---:|---:|",
            ]
            for one in rates:
                if one.damage == damage and one.known == known:
                    pairs = zip(one.reached, one.limit, strict=True)
                    lines.append(f"| {one.count} | " + " | ".join(f"{a:.1%} | {b:.1%}" for a, b in pairs) + " |")
            parts.append("\n".join(lines))
    return "\n\n".join(parts)


def _hits_picture(rates: Sequence[HitRates]) -> None:
    figure = Figure(figsize=(9.6, 6.4), facecolor="white", layout="constrained")
    figure.suptitle("How often the true number is named, of a million", fontsize=11, color=INK)
    grid = figure.subplots(2, 2, sharex=True, sharey=True)
    for row, damage in enumerate(DAMAGES):
        for column, known in enumerate((False, True)):
            axes: Axes = grid[row, column]
            some = [one for one in rates if one.damage == damage and one.known == known]
            for at, places in enumerate(PLACES):
                counts = [one.count for one in some]
                first = "first" if places == 1 else f"among the first {places}"
                axes.plot(
                    counts, [one.limit[at] for one in some], color=_COLOURS[places], linestyle=(0, (2, 2)),
                    linewidth=1.4, label=f"{first}, the limit",
                )  # fmt: skip
                axes.plot(
                    counts, [one.reached[at] for one in some], color=_COLOURS[places], marker=_MARKERS[places],
                    markersize=4.5, linewidth=1.4, label=f"{first}, the search",
                )  # fmt: skip
            axes.set_title(f"signs {damage}" + (", plant and colour known" if known else ""), fontsize=9, color=INK)
            axes.yaxis.set_major_formatter(PercentFormatter(1.0))
            axes.set_ylim(0, 1.04)
            axes.set_xticks(COUNTS)
            _plain(axes)
    for axes in grid[1]:
        axes.set_xlabel("how many signs")
    figure.legend(*grid[0, 0].get_legend_handles_labels(), loc="outside lower center", ncols=3, frameon=False)
    _saved(figure, "search_hits.svg")


def _calls() -> str:
    shop = make_shop(CALLS_SHOP, seed=11)
    facts = Facts(shop)
    reached: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder, desk_of(shop, Path(folder)) as desk:
        for name, kind in (("first caller", FirstCaller), ("other caller", OtherCaller)):
            caller = kind(facts)
            calls = draw_calls(caller, len(shop), count=CALLS, seed=20)
            places = places_found(desk, shop, calls, most=max(PLACES))
            reached[name] = [sum(place is not None and place <= most for place in places) / CALLS for most in PLACES]
            reached[f"{name}, limit"] = limits(caller, calls, PLACES)
            print(name, reached[name], reached[f"{name}, limit"], flush=True)
    return _calls_shown(reached, _needed())


def _calls_shown(reached: dict[str, list[float]], needed: dict[str, list[int]]) -> str:
    _calls_picture(reached, needed)
    lines = [
        f"| {CALLS} calls, {CALLS_SHOP:,} segments | first | limit | in 3 | limit | in 10 | limit |",
        "|---|---:|---:|---:|---:|---:|---:|",
    ]
    for name in ("first caller", "other caller"):
        pairs = zip(reached[name], reached[f"{name}, limit"], strict=True)
        lines.append(f"| {name} | " + " | ".join(f"{a:.1%} | {b:.1%}" for a, b in pairs) + " |")
    lines += [
        "",
        f"| questions asked, {DIALOGUES} calls without a mark, {DIALOGUES_SHOP:,} segments | mean | median | most |",
        "|---|---:|---:|---:|",
    ]
    for name, counts in needed.items():
        lines.append(f"| {name} | {np.mean(counts):.1f} | {np.median(counts):g} | {max(counts)} |")
    return "\n".join(lines)


def _needed() -> dict[str, list[int]]:
    shop = make_shop(DIALOGUES_SHOP, seed=11)
    facts = Facts(shop)
    segments = Random(4).sample(range(len(shop)), DIALOGUES)
    counts: dict[str, list[int]] = {}
    with tempfile.TemporaryDirectory() as folder, desk_of(shop, Path(folder)) as desk:
        for left in (1, 3):
            for order in ("any order", "next best question"):
                draw = Random(6) if order == "any order" else None
                of = "until one is left" if left == 1 else f"until {left} are left"
                counts[f"{order}, {of}"] = [
                    questions_needed(
                        lambda asked: search(desk, asked), true_answers(facts, one, Random(one)), left=left, draw=draw
                    )
                    for one in segments
                ]
                print(order, of, np.mean(list(counts.values())[-1]), flush=True)
    return counts


def _calls_picture(reached: dict[str, list[float]], needed: dict[str, list[int]]) -> None:
    figure = Figure(figsize=(9.6, 4.2), facecolor="white", layout="constrained")
    left, right = figure.subplots(1, 2)
    for at, name in enumerate(("first caller", "other caller")):
        for place, most in enumerate(PLACES):
            x = at * 4 + place
            left.bar(x, reached[name][place], width=0.75, color=_COLOURS[most])
            left.hlines(reached[f"{name}, limit"][place], x - 0.45, x + 0.45, color=RED, linewidth=2)
            left.text(x, 0.03, "first" if most == 1 else f"in {most}", ha="center", color="white", fontsize=8)
    left.hlines([], 0, 0, color=RED, linewidth=2, label="the limit: nobody can name it more often")
    left.set_xticks([1, 5], ["first caller", "other caller"])
    left.set_ylim(0, 1.16)
    left.yaxis.set_major_formatter(PercentFormatter(1.0))
    left.set_title(f"{CALLS} calls each: the right segment is named", fontsize=9, color=INK)
    left.legend(loc="upper center", frameon=False)
    _plain(left)
    styles = {
        "any order, until one is left": (SOFT, "-"),
        "next best question, until one is left": (INK, "-"),
        "any order, until 3 are left": (AMBER, "--"),
        "next best question, until 3 are left": (SEA, "--"),
    }
    steps = np.arange(0, 14)
    for name, counts in needed.items():
        colour, style = styles[name]
        shares = [np.mean(np.array(counts) <= step) for step in steps]
        right.step(steps, shares, where="post", color=colour, linestyle=style, linewidth=1.7, label=name)
    right.set_ylim(0, 1.04)
    right.yaxis.set_major_formatter(PercentFormatter(1.0))
    right.set_xlabel("questions asked")
    right.set_title(f"Calls that are done, no mark, {DIALOGUES_SHOP:,} segments", fontsize=9, color=INK)
    right.legend(loc="upper left", frameon=False, fontsize=8)
    _plain(right)
    _saved(figure, "search_calls.svg")


def _plain(axes: Axes) -> None:
    axes.grid(color="#dfe4df", linewidth=0.7)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)


def _saved(figure: Figure, name: str) -> None:
    figure.savefig(PICTURES / name, metadata={"Date": None})


def _write(name: str, text: str) -> None:
    """Put a part into the page, between its two marks."""
    part = f"<!-- {name} -->\n\n{text}\n\n<!-- /{name} -->"
    page, count = re.subn(
        rf"<!-- {name} -->.*?<!-- /{name} -->", lambda _: part, PAGE.read_text("utf-8"), flags=re.DOTALL
    )
    if count != 1:
        raise AssertionError(f"the page has {count} places for '{name}'")
    PAGE.write_text(page, "utf-8")
    print(text, flush=True)


PARTS: dict[str, Callable[[], str]] = {"times": _times, "hits": _hits, "calls": _calls}

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
