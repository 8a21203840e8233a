"""Mass and thermal growth against worked examples."""

from __future__ import annotations

from dataclasses import replace

import pint
import pytest

from service.rules.materials import MATERIALS, STEEL_SCALE_ALPHA_PER_K, length_at_20c, mass_kg, material

UHMW = material("UHMW-PE")


def test_mass_of_a_rectangle() -> None:
    # Source: 600 × 300 × 25 mm at 0.93 g/cm³, worked by hand: 4500 cm³ × 0.93.
    assert mass_kg(600 * 300, 25, UHMW) == pytest.approx(4.185)


def test_mass_of_a_stadium_one_inch_thick() -> None:
    # Source: a rectangle of 20 × 10 mm with two round ends of radius 5 mm: 200 + 25 pi = 278.540 mm²; times 25.4 mm.
    assert mass_kg(278.540, 25.4, UHMW) == pytest.approx(6.580e-3, abs=1e-6)


@pytest.mark.parametrize("name", MATERIALS)
def test_mass_against_a_units_library(name: str) -> None:
    # Source: the open-source units library Pint, which does the conversion from g/cm³ and mm on its own.
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    row = MATERIALS[name]
    expected = (45_500 * units.mm**2 * 25 * units.mm * row.density_g_cm3 * units("g/cm^3")).to("kg").magnitude
    assert mass_kg(45_500, 25, row) == pytest.approx(expected)


@pytest.mark.parametrize(("alpha_per_k", "growth_mm"), [(200e-6, 1.20), (180e-6, 1.08), (130e-6, 0.78)])
def test_growth_of_600_mm_by_10_kelvin(alpha_per_k: float, growth_mm: float) -> None:
    # Source: growth = alpha × length × temperature difference, worked by hand for the range of alpha in public tables.
    row = replace(UHMW, alpha_per_k=alpha_per_k)
    assert length_at_20c(600 + growth_mm, 30, row) == pytest.approx(600.0, abs=1e-9)


@pytest.mark.parametrize(("alpha_per_k", "length_mm"), [(200e-6, 598.802), (130e-6, 599.221)])
def test_600_mm_read_at_30_degrees(alpha_per_k: float, length_mm: float) -> None:
    # Source: L20 = L / (1 + alpha (T - 20)) with the reference temperature 20 °C of ISO 1 (from memory).
    row = replace(UHMW, alpha_per_k=alpha_per_k)
    assert length_at_20c(600.0, 30, row) == pytest.approx(length_mm, abs=5e-4)


def test_600_mm_read_at_30_degrees_with_a_warm_steel_scale() -> None:
    # Source: the same with a steel scale of 11.5e-6/K (ISO 3650, from memory) that is as warm as the part.
    assert length_at_20c(600.0, 30, UHMW, scale_alpha_per_k=STEEL_SCALE_ALPHA_PER_K) == pytest.approx(598.871, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        # Source: ranges of density in g/cm³ in public tables (Crawford, Plastics Engineering, Table 1.8; PMC9088909
        # Table 1; engineersedge.com; ASM data sheet for 304).
        ("UHMW-PE", 0.93, 0.94),
        ("HDPE", 0.94, 0.97),
        ("POM-C", 1.39, 1.41),
        ("PA6-G", 1.14, 1.16),
        ("PC", 1.15, 1.20),
        ("PVC-U", 1.30, 1.58),
        ("PET-P", 1.29, 1.40),
        ("304 stainless", 7.90, 8.03),
    ],
)
def test_density_lies_in_the_published_range(name: str, low: float, high: float) -> None:
    assert low <= MATERIALS[name].density_g_cm3 <= high
