"""A legacy mark that was read with few enough slips holds one of the pieces."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.numbering.alias_fragments import few_enough, pieces_of, slips_reckoned_with
from service.numbering.alignment import RUN, UNKNOWN, align
from service.numbering.error_model import CameBy, error_model

MODELS = {way: error_model(way) for way in CameBy}
SIGNS = "AB5S0O"


def runs_of(read: str) -> list[str]:
    return [run.lower() for run in read.replace(UNKNOWN, RUN).split(RUN) if run]


@pytest.mark.parametrize(("length", "slips"), [(1, 0), (4, 0), (5, 1), (8, 1), (9, 2), (30, 2)])
def test_longer_texts_may_hold_more_slips(length: int, slips: int) -> None:
    assert slips_reckoned_with(["x" * length, "y"]) == slips
    assert all(len(piece) >= min(2, length) for piece in pieces_of(["x" * length], slips))


def test_without_anything_read_there_are_no_pieces() -> None:
    assert pieces_of([], 0) == ()
    assert slips_reckoned_with([]) == 0


@given(true=st.text(SIGNS, min_size=2, max_size=14), seed=st.integers(0, 10**6), way=st.sampled_from(CameBy))
@settings(max_examples=600, deadline=None)
def test_what_is_few_enough_holds_a_piece(true: str, seed: int, way: CameBy) -> None:
    rng = Random(seed)
    read = list(true)
    for _ in range(rng.randrange(4)):
        at = rng.randrange(len(read)) if read else 0
        match rng.randrange(6):
            case 0:
                read[at : at + 2] = read[at : at + 2][::-1]
            case 1:
                del read[at : at + 1]
            case 2:
                read.insert(at, rng.choice(SIGNS))
            case 3:
                read[at : at + 1] = rng.choice(SIGNS)
            case 4:
                read[at : at + 1] = rng.choice("?*")
            case _:
                read = read[rng.randrange(3) :]
    text = "".join(read)
    found = align(text, true, MODELS[way])
    for slips in range(slips_reckoned_with(runs_of(text)) + 1):
        if found is not None and runs_of(text) and few_enough(found, slips):
            assert any(piece in true.lower() for piece in pieces_of(runs_of(text), slips))


def test_a_swap_astride_a_cut_leaves_a_piece_of_the_other_cutting() -> None:
    pieces = pieces_of(["abcdefgh"], 1)
    swapped = "abcedfgh"
    assert "abcd" in pieces
    assert any(piece in swapped for piece in pieces)
