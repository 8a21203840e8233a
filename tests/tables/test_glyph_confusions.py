"""The table on record is the one that the script makes."""

from __future__ import annotations

import numpy as np
import pytest

from service.numbering.eye_confusions import COPIES, TAKEN_FOR
from service.numbering.weights import SIGNS
from tests.tables import glyph_confusions
from tests.tables.damaged_glyphs import whole


def test_whole_signs_are_taken_for_themselves() -> None:
    names, known = glyph_confusions.references()
    seen = np.array([whole(sign).ravel() for sign in SIGNS], dtype=np.float64)
    assert glyph_confusions.taken_for(seen, names, known) == SIGNS


@pytest.mark.parametrize("signs", ["0P", "6T"])
def test_counted_again_it_is_the_same(signs: str) -> None:
    """Each sign has a seed of its own, so that a few of them stand for all."""
    counted = glyph_confusions.confusions(signs)
    assert counted == {sign: dict(TAKEN_FOR[sign]) for sign in signs}


def test_every_copy_is_counted() -> None:
    assert set(TAKEN_FOR) == set(SIGNS)
    assert all(sum(row.values()) == COPIES for row in TAKEN_FOR.values())
    assert COPIES == glyph_confusions.COPIES


def test_the_module_is_written_from_the_table() -> None:
    source = glyph_confusions.module({sign: dict(row) for sign, row in TAKEN_FOR.items()})
    spaces: dict[str, object] = {}
    exec(source, spaces)  # noqa: S102  (our own text, to see that it says what the table holds)
    assert spaces["TAKEN_FOR"] == TAKEN_FOR
