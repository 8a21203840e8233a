"""Examples of documents about pictures of plates, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_SYMBOL: Document = {
    "kind": "data_matrix",
    "corners": [[0.2, 0.25], [0.26, 0.24], [0.27, 0.37], [0.21, 0.38]],
    "text": None,
    "legible": 0.61,
    "agrees": 0.97,
}

PICTURE_EXAMPLES: Mapping[str, Document] = {
    "PictureAnswer": {
        "outcome": "exact",
        "number": "OSV4-FC1-A500-SW2-U3-42",
        "key": "K7M4XRAW",
        "repairs": [],
        "candidates": [],
        "groups": [],
        "note": "",
        "how": "merged",
        "texts": [],
        "margin": 18.4,
        "margin_needed": 9.0,
        "template": "nameplate-60x22",
        "symbols": [_SYMBOL],
        "width_px": 1600,
        "height_px": 1200,
    },
    "PictureSymbolAnswer": _SYMBOL,
}
