"""Numbers and keys for laws."""

from __future__ import annotations

from hypothesis import strategies as st

from service.numbering.key import ALPHABET, Key
from service.numbering.number import KitNumber, Number, Place
from service.numbering.tables import DEFAULT_TABLES

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

plants = st.text(LETTERS, min_size=3, max_size=4)
ordinals = st.integers(1, 99)
kits = st.builds(
    KitNumber,
    plants,
    ordinals,
    st.sampled_from(sorted(DEFAULT_TABLES.machine_classes)),
    ordinals,
    st.sampled_from(list(DEFAULT_TABLES.design_letters_in_order())),
    st.integers(1, 999_999),
)
places = st.builds(
    Place,
    st.sampled_from(sorted(DEFAULT_TABLES.assemblies)),
    ordinals,
    st.sampled_from(sorted(DEFAULT_TABLES.decks)),
    st.integers(1, 999),
)
numbers = st.builds(Number, kits, places)
keys = st.text(ALPHABET, min_size=7, max_size=7).filter(lambda seven: len(set(seven)) > 1).map(Key.from_symbols)
