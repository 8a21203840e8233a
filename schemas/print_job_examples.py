"""Examples of print jobs of the invented shop, by the name of the model."""

from __future__ import annotations

from collections.abc import Mapping

_MARK: dict[str, object] = {"number": "OSV4-FC1-A500-SW2-U3-42", "key": "P3HW9TCP"}
_PAGE: dict[str, object] = {
    "page": 1,
    "state": "printed",
    "marks": [_MARK],
    "job_name": "kitwright 17 page 1 9f3a61c2b04d",
    "sent_at": "2026-03-09T08:15:00Z",
    "ended_at": "2026-03-09T08:15:02Z",
    "said": "",
}
_SUMMARY: dict[str, object] = {
    "id": 17,
    "subject": "OSV4-FC1-A500-SW2-U3-42",
    "printer": "bench",
    "state": "done",
    "marks": 1,
    "printed": 1,
    "made_at": "2026-03-09T08:14:58Z",
    "made_by": "owner",
    "said": "",
}

PRINT_JOB_EXAMPLES: Mapping[str, dict[str, object]] = {
    "PrintJobRequest": {"marks": ["OSV4-FC1-A500"], "printer": "bench", "template": "nameplate-60x22"},
    "PrintedWord": {"printed": True},
    "JobMarkAnswer": _MARK,
    "JobPageAnswer": _PAGE,
    "PrintJobSummaryAnswer": _SUMMARY,
    "PrintJobListAnswer": {"print_jobs": [_SUMMARY]},
    "PrintJobAnswer": {
        **_SUMMARY,
        "template": "nameplate-60x22",
        "paper": "roll",
        "dpi": 203,
        "start_cell": 1,
        "copies": 1,
        "notes": [],
        "question": "",
        "question_page": None,
        "pages": [_PAGE],
    },
}
