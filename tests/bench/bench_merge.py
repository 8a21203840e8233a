"""Reading all symbols of a damaged plate together, beside decoding each alone: its cost, and what it still reads."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from random import Random

from service.marks.items import Layout
from service.numbering.key import Key
from service.render.merge_modules import read_merged
from service.render.read_back import Grey
from tests.bench.rounds import Comparison, Contestant
from tests.damaged_plates import whole_plate
from tests.pictures.merge import decodes, in_pieces

PLATES = 40
LOST = (0.5, 0.65, 0.85)

Damaged = tuple[str, Layout, Grey]


@contextmanager
def comparisons(*, plates: int = PLATES) -> Iterator[list[Comparison]]:
    """Nameplates of which a share is lost in twelve pieces, the same for both."""
    made = {share: [_damaged(share, seed) for seed in range(plates)] for share in LOST}
    yield [*(_unread(share, made[share]) for share in LOST), _cost(made[LOST[1]])]


def _damaged(share: float, seed: int) -> Damaged:
    key = Key.random(Random(f"{share} {seed}")).symbols
    layout, grey = whole_plate(key)
    return key, layout, in_pieces(layout, grey, share, seed)


def _unread(share: float, plates: Sequence[Damaged]) -> Comparison:
    return Comparison(
        title=f"Plates that name no piece any more: {share:.0%} lost in twelve pieces",
        unit="plate",
        yardstick=Contestant(name="each symbol decoded alone", run=lambda: _share(plates, _alone), measures=True),
        others=[Contestant(name="all symbols together", run=lambda: _share(plates, _together), measures=True)],
        goals={"all symbols together": 1.0},
        rounds=1,
        in_percent=True,
    )


def _alone(key: str, layout: Layout, grey: Grey) -> bool:
    return decodes(grey, layout, key)


def _together(key: str, layout: Layout, grey: Grey) -> bool:
    read = read_merged(grey, layout).key
    assert read in (None, key), "a damaged plate was read as another piece"
    return read == key or decodes(grey, layout, key)


def _share(plates: Sequence[Damaged], reads: Callable[[str, Layout, Grey], bool]) -> float:
    """The share that is not read; where none is, half a plate stands for it: ratios need an amount."""
    unread = sum(not reads(*plate) for plate in plates)
    return max(unread, 0.5) / len(plates)


def _cost(plates: Sequence[Damaged]) -> Comparison:
    return Comparison(
        title="What reading a damaged plate costs",
        unit="plate",
        yardstick=Contestant(
            name="each symbol decoded alone", run=lambda: [_alone(*plate) for plate in plates], count=len(plates)
        ),
        others=[
            Contestant(
                name="all symbols together",
                run=lambda: [read_merged(grey, layout) for _, layout, grey in plates],
                count=len(plates),
            )
        ],
    )
