"""Examples of a search over half a number and what the caller knows, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

Document = dict[str, object]

_EVIDENCE: Document = {"question": "stock_colour", "answer": "green", "tolerance_mm": None}
_WEIGHED: Document = {"question": "stock_colour", "answer": "green", "recorded": "green", "speaks": "for"}
_CANDIDATE: Document = {
    "number": "OSV4-FC1-A500-SW2-U3-42",
    "key": "K7M4XRAW",
    "place": "SW2-U3",
    "kit": "OSV4-FC1-A500",
    "assembly": "discharge star wheel",
    "plant": "Ostrey Vale",
    "line": "line 4",
    "machine": "filler-capper 1",
    "container": "A500 tall round 500 mL",
    "stock_colour": "green",
    "status": "active",
    "probability": 0.82,
    "assumed": ["the end is missing"],
    "evidence": [_WEIGHED],
    "picture": "/api/segments/OSV4-FC1-A500-SW2-U3-42/outline.svg",
}
_EXPECTED: Document = {"answer": "upper", "share": 0.5}
_QUESTION: Document = {
    "question": "deck",
    "ask": "On which deck does it sit: lower, middle, upper or neck?",
    "answers": [_EXPECTED, {"answer": "lower", "share": 0.5}],
    "gain_bits": 0.61,
}
_IGNORED: Document = {
    "question": "pockets",
    "answer": "a few",
    "reason": "this is no count; write a whole number such as 6",
}

SEARCH_EXAMPLES: Mapping[str, Document] = {
    "EvidencePart": _EVIDENCE,
    "ExpectedAnswer": _EXPECTED,
    "IgnoredAnswer": _IGNORED,
    "QuestionAnswer": _QUESTION,
    "SearchAnswer": {
        "candidates": [_CANDIDATE],
        "left": 3,
        "consistent": 41,
        "entropy_bits": 1.3,
        "unlooked": 0.0,
        "next_question": _QUESTION,
        "questions": [_QUESTION],
        "ignored": [_IGNORED],
        "prior": "uniform",
    },
    "SearchCandidate": _CANDIDATE,
    "SearchRequest": {
        "mark": "??V4-FC1-A5??-SW",
        "came_by": "eye",
        "evidence": [_EVIDENCE],
        "prior": "uniform",
        "limit": 10,
    },
    "WeighedAnswer": _WEIGHED,
}
