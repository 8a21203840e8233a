"""Materials: any usual spelling finds its row, and mass and length follow from it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import BadRequest, UnknownCode
from service.rules.materials import (
    MATERIALS,
    SPELLINGS,
    STEEL_SCALE_ALPHA_PER_K,
    length_at_20c,
    mass_kg,
    material,
    reading_at,
)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("UHMW-PE", "UHMW-PE"),
        ("UHMWPE", "UHMW-PE"),
        ("uhmw pe", "UHMW-PE"),
        ("PE-UHMW", "UHMW-PE"),
        ("PE 1000", "UHMW-PE"),
        ("pe-hd", "HDPE"),
        ("POM-C", "POM-C"),
        ("Acetal", "POM-C"),
        ("PA 6 G", "PA6-G"),
        ("polycarbonate", "PC"),
        ("PVC", "PVC-U"),
        ("PETP", "PET-P"),
        ("1.4301", "304 stainless"),
        ("304 stainless", "304 stainless"),
    ],
)
def test_usual_spellings(text: str, name: str) -> None:
    assert material(text).name == name


def test_every_name_and_spelling_finds_its_own_row() -> None:
    assert set(SPELLINGS) == set(MATERIALS)
    for name, spellings in SPELLINGS.items():
        for text in (name, *spellings):
            assert material(text) is MATERIALS[name]


@pytest.mark.parametrize("text", ["", "wood", "PE", "UHMW-PP", "-"])
def test_an_unknown_material_is_refused_with_those_known(text: str) -> None:
    with pytest.raises(UnknownCode) as caught:
        material(text)
    assert caught.value.field == "material"
    assert all(name in caught.value.todo for name in MATERIALS)


def test_every_row_names_its_source() -> None:
    for row in MATERIALS.values():
        assert row.source
        assert 0.5 < row.density_g_cm3 < 9
        assert 5e-6 < row.alpha_per_k < 250e-6
        assert row.max_continuous_c >= 50


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_mass_of_nothing_is_refused(bad: float) -> None:
    with pytest.raises(BadRequest, match="thickness_mm"):
        mass_kg(100.0, bad, material("PC"))
    with pytest.raises(BadRequest, match="area_mm2"):
        mass_kg(bad, 10.0, material("PC"))


@given(length_mm=st.floats(1, 10_000), temperature_c=st.floats(-50, 150), name=st.sampled_from(list(MATERIALS)))
def test_a_warm_part_is_shorter_at_20_degrees(length_mm: float, temperature_c: float, name: str) -> None:
    at_20 = length_at_20c(length_mm, temperature_c, material(name))
    grown = at_20 * (1 + MATERIALS[name].alpha_per_k * (temperature_c - 20))
    assert grown == pytest.approx(length_mm)
    assert (at_20 <= length_mm) == (temperature_c >= 20) or at_20 == pytest.approx(length_mm)


@pytest.mark.parametrize(
    ("length_mm", "temperature_c"), [(0.0, 20.0), (math.nan, 20.0), (600.0, 400.0), (600.0, math.nan)]
)
def test_a_length_or_temperature_that_cannot_be_is_refused(length_mm: float, temperature_c: float) -> None:
    with pytest.raises(BadRequest):
        length_at_20c(length_mm, temperature_c, material("UHMW-PE"))


@given(
    length_mm=st.floats(1, 10_000),
    temperature_c=st.floats(-40, 120),
    name=st.sampled_from(list(MATERIALS)),
    scale=st.sampled_from([0.0, STEEL_SCALE_ALPHA_PER_K]),
)
def test_a_reading_leads_back_to_the_length_at_20_degrees(
    *, length_mm: float, temperature_c: float, name: str, scale: float
) -> None:
    read = reading_at(length_mm, temperature_c, material(name), scale_alpha_per_k=scale)
    assert length_at_20c(read, temperature_c, material(name), scale_alpha_per_k=scale) == pytest.approx(length_mm)


def test_a_warm_star_reads_long() -> None:
    """800 mm of UHMW-PE, 10 K above 20 °C, by a steel rule: 800 × (200 - 11.5) × 1e-6 × 10 = 1.5 mm more."""
    assert reading_at(800.0, 30.0, material("UHMW-PE")) == pytest.approx(801.508, abs=0.002)
    assert reading_at(800.0, 20.0, material("UHMW-PE")) == 800.0
