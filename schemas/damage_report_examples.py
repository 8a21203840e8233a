"""Examples of damage reports, order states, open work and webhooks of the invented shop, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

from schemas.picture_examples import PICTURE_EXAMPLES

_MOMENT = "2026-03-09T08:15:00Z"
_SHA256 = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"
_NUMBER, _NEIGHBOUR = "OSV4-FC1-A500-SW2-U3-42", "OSV4-FC1-A500-SW2-U4-39"
_WORDS = "The green one on line 4 is in pieces. I can read A5, something, SW."
_ITEM: dict[str, object] = {"question": "stock_colour", "answer": "green", "tolerance_mm": None, "came_by": None}
_EVIDENCE: dict[str, object] = {
    "ordinal": 1,
    "question": "stock_colour",
    "answer": "green",
    "tolerance_mm": None,
    "came_by": None,
    "given_by": "desk",
    "at": _MOMENT,
    "by": "owner",
}
_PHOTO: dict[str, object] = {
    "id": 1,
    "sha256": _SHA256,
    "media_type": "image/jpeg",
    "size_bytes": 412330,
    "width_px": 1600,
    "height_px": 1200,
    "typed": "A5?? SW",
    "reading": PICTURE_EXAMPLES["PictureAnswer"],
    "mark": "P3HW9TCP",
    "added_at": _MOMENT,
    "added_by": "owner",
}
_SHOWN: dict[str, object] = {"number": _NUMBER, "probability": 0.93}
_CHOICE: dict[str, object] = {
    "number": _NUMBER,
    "key": None,
    "set": 1,
    "rejected": [_NEIGHBOUR],
    "shown": [_SHOWN],
    "reason": "the caller confirmed the picture",
    "at": _MOMENT,
    "by": "owner",
}
_ORDER: dict[str, object] = {"id": 17, "number": _NUMBER, "state": "decided", "duplicate": False}
_SUMMARY: dict[str, object] = {
    "id": 31,
    "state": "decided",
    "reported_at": _MOMENT,
    "reported_by": "owner",
    "caller": "the night shift, line 4",
    "telephone": "",
    "words": _WORDS,
    "mark": "A5??-SW*",
    "came_by": "ear",
    "number": _NUMBER,
    "order": 17,
}
_MEASURED_ITEM: dict[str, object] = {
    "feature": "thickness",
    "measured_mm": 25.06,
    "temperature_c": 23.5,
    "nominal_mm": 25.0,
    "tolerance_mm": 0.15,
}
_MEASURED: dict[str, object] = {**_MEASURED_ITEM, "at_20c_mm": 25.042, "within": True}
STEP: dict[str, object] = {
    "ordinal": 3,
    "state": "decided",
    "at": _MOMENT,
    "by": "owner",
    "evidence": "Revision B is what the damaged piece was cut from; it locked into these neighbours.",
    "rejected": [],
    "reason": None,
    "measured": [],
}
_ALSO: dict[str, object] = {
    "number": _NEIGHBOUR,
    "cut_file": "osv4-fc1-a500-sw2-u4.dxf",
    "revision": "C",
    "sha256": _SHA256,
}
_ROW: dict[str, object] = {
    "order": 17,
    "report": 31,
    "number": _NUMBER,
    "key": "R8CN5JF3",
    "plant": "OSV",
    "place": "SW2-U3",
    "cut_file": "osv4-fc1-a500-sw2-u3.dxf",
    "revision": "B",
    "sha256": _SHA256,
    "material": "UHMW-PE",
    "stock_colour": "green",
    "thickness_mm": 25.0,
    "mass_kg": 3.21,
    "quantity": 1,
    "state": "released_to_cut",
    "since": _MOMENT,
    "ordered_at": _MOMENT,
    "promised_on": "2026-03-20",
    "ask_fitted": False,
    "also_cut": [_ALSO],
}
_WEBHOOK: dict[str, object] = {
    "id": 2,
    "name": "planning",
    "url": "https://planning.example/kitwright",
    "states": ["released_to_cut"],
    "made_at": _MOMENT,
    "made_by": "owner",
    "ended_at": None,
    "waiting": 0,
    "delivered": 12,
    "given_up": 0,
}
_DELIVERY: dict[str, object] = {
    "id": 90,
    "webhook": 2,
    "order": 17,
    "order_state": "released_to_cut",
    "state": "delivered",
    "tries": 1,
    "made_at": _MOMENT,
    "next_try_at": None,
    "ended_at": _MOMENT,
    "said": "HTTP 204",
}

DAMAGE_REPORT_EXAMPLES: Mapping[str, dict[str, object]] = {
    "EvidenceItem": _ITEM,
    "DamageReportRequest": {
        "words": _WORDS,
        "mark": "A5??-SW*",
        "came_by": "ear",
        "caller": "the night shift, line 4",
        "telephone": "",
        "evidence": [_ITEM],
    },
    "EvidenceRequest": {"evidence": [{"question": "line", "answer": "4"}]},
    "ShownCandidate": _SHOWN,
    "ShownCandidateAnswer": _SHOWN,
    "ChoiceRequest": {
        "mark": _NUMBER,
        "rejected": [_NEIGHBOUR],
        "shown": [_SHOWN],
        "reason": "the caller confirmed the picture",
    },
    "LinkRequest": {"numbers": [_NUMBER, _NEIGHBOUR], "hours": 24},
    "LinkAnswer": {
        "report": 31,
        "url": "https://parts.example/r/0l3mA9xq5T1wZr8uN2yQe7Vb",
        "token": "0l3mA9xq5T1wZr8uN2yQe7Vb",
        "numbers": [_NUMBER, _NEIGHBOUR],
        "expires_at": "2026-03-10T08:15:00Z",
    },
    "PhotoAnswer": _PHOTO,
    "EvidenceAnswer": _EVIDENCE,
    "ChoiceAnswer": _CHOICE,
    "ReportOrderAnswer": _ORDER,
    "DamageReportSummaryAnswer": _SUMMARY,
    "DamageReportListAnswer": {"reports": [_SUMMARY]},
    "DamageReportAnswer": {
        **_SUMMARY,
        "evidence": [_EVIDENCE],
        "photos": [_PHOTO],
        "choice": _CHOICE,
        "choices": [_CHOICE],
        "orders": [_ORDER],
        "follows_order": None,
        "cancel_reason": None,
        "findings": [],
    },
    "DuplicateRequest": {"order": 17},
    "GiveUpRequest": {"reason": "the piece was found whole"},
    "MeasuredItem": _MEASURED_ITEM,
    "StepRequest": {"state": "inspected", "evidence": "bench 2", "measured": [_MEASURED_ITEM]},
    "FittedAnswerRequest": {
        "answer": "no",
        "why": "does_not_lock",
        "reason": "the tail stands 1 mm proud of its neighbour",
    },
    "MeasuredAnswer": _MEASURED,
    "StepAnswer": STEP,
    "OpenWorkAlsoAnswer": _ALSO,
    "OpenWorkRowAnswer": _ROW,
    "OpenWorkAnswer": {"at": _MOMENT, "rows": [_ROW]},
    "WebhookRequest": {
        "url": "https://planning.example/kitwright",
        "name": "planning",
        "states": ["released_to_cut"],
    },
    "WebhookAnswer": _WEBHOOK,
    "NewWebhookAnswer": {**_WEBHOOK, "delivered": 0, "secret": "Jb0Qm3cW8yT5uXz1rN6aVk9eLh2pSd4fGq7iOo0MwYs"},
    "WebhookListAnswer": {"webhooks": [_WEBHOOK]},
    "DeliveryAnswer": _DELIVERY,
    "DeliveryListAnswer": {"deliveries": [_DELIVERY]},
}
