"""Examples of the code tables and of codes held against those in use, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_RIVAL: Document = {
    "code": "M500",
    "distance": 0.15,
    "near": True,
    "words": "N for M, which look alike, sound alike and lie side by side on a keyboard",
}
_CODE: Document = {"table": "assembly", "code": "SW", "name": "star wheel"}

CODE_EXAMPLES: Mapping[str, Document] = {
    "CodeAnswer": _CODE,
    "CodeCheckAnswer": {
        "kind": "container",
        "code": "N500",
        "plant": "OSV",
        "in_use": False,
        "clear": False,
        "threshold": 0.8,
        "rivals": [_RIVAL, {"code": "A500", "distance": 1.0, "near": False, "words": "N for A"}],
        "better": ["C500", "R500", "T500", "X500", "Y500"],
    },
    "CodeListAnswer": {"codes": [_CODE], "design_letters": ["A", "C", "E", "F", "H"]},
    "CodeRequest": {"table": "assembly", "code": "WJ", "name": "worm jig"},
    "RivalAnswer": _RIVAL,
}
