"""Examples of documents about what a mark bears, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_SCRATCHES: Document = {"family": "scratches", "words": "scratches", "tried": 24, "survived": 22}
_DAMAGE: Document = {
    "name": "scratches-12-3",
    "family": "scratches",
    "sentence": "12 pale scratches of 0.5 mm run right across the plate",
    "severity": 3,
    "read_by": [2],
    "identity": "symbol",
}
_GARBLED: Document = {"damage": "scratches-12-3", "text": "OSV4UFC!W{500-SW2-U3-42"}
_SYMBOL: Document = {
    "index": 1,
    "name": "Data Matrix 1 (key)",
    "kind": "data_matrix",
    "content": "key",
    "x_mm": 53.5,
    "y_mm": 0.875,
    "width_mm": 5.25,
    "height_mm": 5.25,
    "module_mm": 0.375,
    "share": 0.74,
    "floor": 0.5,
    "families": [{**_SCRATCHES, "survived": 15}],
    "lost": ["scratches-12-3"],
    "carried_by": [2],
    "written": ["number", "key"],
    "without": "Then Data Matrix 2 (key) and the number and the key in letters can say which piece it is.",
}

SURVIVAL_EXAMPLES: Mapping[str, Document] = {
    "SurvivalAnswer": {
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "key": "K7M4XRAW",
        "template": "nameplate-60x22",
        "dpi": 203,
        "width_mm": 60.0,
        "height_mm": 22.0,
        "tried": 94,
        "share": 0.98,
        "share_of_single_symbols": 0.93,
        "floor": 0.9,
        "families": [_SCRATCHES],
        "symbols": [_SYMBOL],
        "damages": [_DAMAGE],
        "wrong": [],
        "refused": [_GARBLED],
    },
    "SurvivalDamageAnswer": _DAMAGE,
    "SurvivalSymbolAnswer": _SYMBOL,
    "SurvivalTallyAnswer": _SCRATCHES,
    "SurvivalTextAnswer": _GARBLED,
}
