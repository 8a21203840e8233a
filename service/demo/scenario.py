"""The invented scenario: two bottlers, their plants, lines, machines and containers, in the words of a kit manifest."""

from __future__ import annotations

OSTREY_VALE: dict[str, object] = {"code": "OSV", "name": "Ostrey Vale", "customer": "Tarnquill Waters"}
MARROWGATE: dict[str, object] = {"code": "MRG", "name": "Marrowgate", "customer": "Pellworth Sauces"}

LINE_2: dict[str, object] = {"ordinal": 2, "name": "line 2"}
LINE_4: dict[str, object] = {"ordinal": 4, "name": "line 4"}
LINE_1: dict[str, object] = {"ordinal": 1, "name": "line 1"}

FILLER_CAPPER: dict[str, object] = {"class": "FC", "ordinal": 1, "name": "filler-capper", "rotation": "clockwise"}
FILLER: dict[str, object] = {"class": "FL", "ordinal": 1, "name": "filler", "rotation": "clockwise"}
LABELLER: dict[str, object] = {"class": "LB", "ordinal": 1, "name": "labeller", "rotation": "anticlockwise"}

A500: dict[str, object] = {
    "code": "A500",
    "name": "tall round 500 mL",
    "nominal": 500,
    "unit": "mL",
    "shape": "round",
    "diameter_mm": 65.3,
    "min_body_mm": 64.9,
    "max_body_mm": 65.8,
    "height_mm": 212.0,
    "neck_finish": "28-410",
}
A330: dict[str, object] = {
    "code": "A330",
    "name": "sport 330 mL",
    "nominal": 330,
    "unit": "mL",
    "shape": "round, waisted",
    "diameter_mm": 65.3,
    "min_body_mm": 57.4,
    "max_body_mm": 65.8,
    "height_mm": 178.0,
    "neck_finish": "28-410",
}
C500: dict[str, object] = {
    "code": "C500",
    "name": "square 500 mL",
    "nominal": 500,
    "unit": "mL",
    "shape": "square",
    "width_mm": 62.0,
    "depth_mm": 62.0,
    "min_body_mm": 61.6,
    "max_body_mm": 62.4,
    "height_mm": 190.0,
    "neck_finish": "28-410",
}
A12: dict[str, object] = {
    "code": "A12",
    "name": "12 fl oz sauce",
    "nominal": 12,
    "unit": "fl oz",
    "shape": "round",
    "diameter_mm": 62.5,
    "min_body_mm": 62.1,
    "max_body_mm": 62.9,
    "height_mm": 196.0,
    "neck_finish": "28-400",
}
