"""Materials of change parts: density, thermal expansion, the heat they stand, and what follows for mass and length.

The values are typical ones from public tables, chosen inside the ranges that those tables give (each row names them).
A sheet of another maker differs by a few per cent in density and, for polyethylene, by a third in expansion, which
depends on how it was pressed and on the direction. They are good for a mass on a mark and for a caution, not for a
drawing's tolerance.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from service.errors import BadRequest, UnknownCode

REFERENCE_TEMPERATURE_C = 20.0
"""Temperature at which dimensions hold unless a drawing says otherwise: ISO 1:2022, from memory."""

STEEL_SCALE_ALPHA_PER_K = 11.5e-6
"""Linear expansion of a steel rule or caliper: ISO 3650 for steel gauge blocks, from memory."""


@dataclass(frozen=True, slots=True)
class Material:
    """One material.

    Attributes:
        name: the name that records and marks carry.
        density_g_cm3: density near 20 °C in g/cm³.
        alpha_per_k: coefficient of linear thermal expansion near 20 °C in 1/K.
        max_continuous_c: the highest temperature in °C for continuous use, the lower end where tables differ.
        source: where the values come from, with the ranges found.
    """

    name: str
    density_g_cm3: float
    alpha_per_k: float
    max_continuous_c: float
    source: str


MATERIALS: dict[str, Material] = {
    row.name: row
    for row in (
        Material(
            "UHMW-PE",
            0.93,
            200e-6,
            80,
            "density 0.93 to 0.94 and alpha 130 to 200 in public tables (matmake.com, mold.wiki); 0.93 from memory; "
            "80 °C from a supplier's page; solid shapes: ASTM D6712",
        ),
        Material(
            "HDPE",
            0.95,
            180e-6,
            55,
            "Crawford, Plastics Engineering, Table 1.8 (950 kg/m³, 55 °C); density 0.952 to 0.965 in PMC9088909 "
            "Table 1; alpha 100 to 200 in public tables, 180 from memory",
        ),
        Material(
            "POM-C",
            1.41,
            110e-6,
            90,
            "Crawford, Plastics Engineering, Table 1.8 (acetal copolymer 1410 kg/m³, 90 °C); alpha 85 to 110 "
            "(mold.wiki)",
        ),
        Material(
            "PA6-G",
            1.15,
            80e-6,
            90,
            "cast polyamide 6, dry; density 1.14 to 1.16 (1.16 at engineersedge.com), 1.15 from memory; alpha 50 to 90 "
            "(mold.wiki); 90 °C from memory; swells in water",
        ),
        Material(
            "PC",
            1.20,
            68e-6,
            115,
            "density 1.15 to 1.20; alpha 38 to 70 (matmake.com); 115 to 125 °C, Crawford Table 1.8: 125",
        ),
        Material(
            "PVC-U",
            1.40,
            70e-6,
            50,
            "Crawford, Plastics Engineering, Table 1.8 (rigid PVC 1400 kg/m³, 50 °C); alpha 70 (mold.wiki)",
        ),
        Material(
            "PET-P", 1.38, 65e-6, 100, "density 1.29 to 1.40; alpha 15 to 90, 60 to 65 at mold.wiki; 100 °C from memory"
        ),
        Material(
            "304 stainless",
            8.00,
            17.3e-6,
            870,
            "ASM data sheet for type 304: 8.00 g/cm³, 17.3e-6/K between 0 and 100 °C; 925 °C continuous, "
            "870 °C intermittent",
        ),
    )
}
"""The materials by name, in the order in which lists show them."""

SPELLINGS: dict[str, tuple[str, ...]] = {
    "UHMW-PE": ("uhmwpe", "uhmw", "peuhmw", "pe1000", "uhmwpolyethylene", "ultrahighmolecularweightpolyethylene"),
    "HDPE": ("hdpe", "pehd", "pe300", "highdensitypolyethylene"),
    "POM-C": ("pomc", "pom", "acetal", "acetalcopolymer", "pomcopolymer", "polyoxymethylene"),
    "PA6-G": ("pa6g", "pa6", "pa6cast", "castpa6", "nylon6", "castnylon", "castnylon6", "polyamide6"),
    "PC": ("pc", "polycarbonate"),
    "PVC-U": ("pvcu", "upvc", "pvc", "rigidpvc", "pvcrigid"),
    "PET-P": ("petp", "pet", "polyester", "polyethyleneterephthalate"),
    "304 stainless": ("304stainless", "304", "aisi304", "stainless304", "14301", "x5crni1810", "stainlesssteel304"),
}
"""Spellings of each name with everything but letters and digits left out, lower case."""

_NAME_OF = {spelling: name for name, spellings in SPELLINGS.items() for spelling in spellings}


def material(name: str) -> Material:
    """The material that a name means; letter case, blanks, hyphens, dots and slashes make no difference.

    Raises:
        UnknownCode: no material of the table goes by this name.
    """
    spelling = "".join(character for character in name.casefold() if character.isalnum())
    known = _NAME_OF.get(spelling)
    if known is None:
        raise UnknownCode(
            "no material of the table goes by this name",
            field="material",
            value=name,
            todo=f"Use one of {', '.join(MATERIALS)}",
        )
    return MATERIALS[known]


def mass_kg(area_mm2: float, thickness_mm: float, material: Material) -> float:
    """Mass in kg of a flat part: area × thickness × density.

    Args:
        area_mm2: area of the outline without its holes, in mm².
        thickness_mm: thickness of the sheet in mm.
        material: the material, for its density.

    Raises:
        BadRequest: the area or the thickness is not a positive number.
    """
    for field, value in (("area_mm2", area_mm2), ("thickness_mm", thickness_mm)):
        if not (math.isfinite(value) and value > 0):
            raise BadRequest("not a positive number", field=field, value=value, todo="Give a positive number")
    return area_mm2 * thickness_mm * material.density_g_cm3 * 1e-6


def length_at_20c(
    length_mm: float, temperature_c: float, material: Material, *, scale_alpha_per_k: float = 0.0
) -> float:
    """The length in mm at 20 °C of a part that was measured warm or cold.

    L20 = L × (1 + alpha_scale × (T - 20)) / (1 + alpha × (T - 20)).

    Args:
        length_mm: length in mm as it was read.
        temperature_c: temperature of the part (and of the scale) in °C.
        material: the material of the part, for its expansion.
        scale_alpha_per_k: expansion of the scale when it is as warm as the part, for example
            ``STEEL_SCALE_ALPHA_PER_K``; 0 for a scale that was true.

    Raises:
        BadRequest: the length is not positive, or the temperature is no place to measure plastic (-50 to 150 °C).
    """
    if not (math.isfinite(length_mm) and length_mm > 0):
        raise BadRequest("not a positive number", field="length_mm", value=length_mm, todo="Give a positive number")
    grown = growth(material, temperature_c)
    return length_mm * (1 + scale_alpha_per_k * (temperature_c - REFERENCE_TEMPERATURE_C)) / grown


def growth(material: Material, temperature_c: float) -> float:
    """How large a part is at a temperature, over its size at 20 °C: 1 + alpha × (T - 20).

    Raises:
        BadRequest: the temperature is no place for plastic (-50 to 150 °C).
    """
    if not -50 <= temperature_c <= 150:
        raise BadRequest(
            "outside -50 to 150 °C", field="temperature_c", value=temperature_c, todo="Give the temperature in °C"
        )
    return 1 + material.alpha_per_k * (temperature_c - REFERENCE_TEMPERATURE_C)


def reading_at(
    length_20c_mm: float,
    temperature_c: float,
    material: Material,
    *,
    scale_alpha_per_k: float = STEEL_SCALE_ALPHA_PER_K,
) -> float:
    """What a scale that is as warm as the part reads for a length that is right at 20 °C; undoes ``length_at_20c``.

    Args:
        length_20c_mm: the length in mm at 20 °C.
        temperature_c: temperature of the part and of the scale in °C.
        material: the material of the part, for its expansion.
        scale_alpha_per_k: expansion of the scale; that of steel unless said, 0 for a scale that stays true.
    """
    above = temperature_c - REFERENCE_TEMPERATURE_C
    return length_20c_mm * (1 + material.alpha_per_k * above) / (1 + scale_alpha_per_k * above)
