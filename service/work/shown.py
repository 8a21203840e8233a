"""From values of the records and the rules to the answers that cross the edge."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from schemas.answers import (
    CutFileSummaryAnswer,
    EventAnswer,
    FindingAnswer,
    HistoryAnswer,
    MarkAnswer,
    PieceAnswer,
    RevisionAnswer,
)
from service.findings import Finding
from service.store.values import CutFileSummary, EventRow, MarkRow, PieceRow, RevisionRow


def finding_answers(findings: Iterable[Finding]) -> tuple[FindingAnswer, ...]:
    """Findings as they cross the edge; the rule is the stable code."""
    return tuple(
        FindingAnswer(
            code=finding.rule,
            level=finding.level,
            message=finding.message,
            field=finding.field,
            value=finding.value,
            todo=finding.todo,
            place=finding.place,
            source=finding.source,
        )
        for finding in findings
    )


def piece_answer(piece: PieceRow) -> PieceAnswer:
    """A piece, or a count of like ones."""
    return PieceAnswer.model_validate(
        {
            "key": piece.key,
            "set": piece.set_number,
            "count": piece.count,
            "revision": piece.revision,
            "condition": piece.condition,
            "deviations": piece.deviations,
            "made_at": piece.made_at,
            "material_batch": piece.material_batch,
            "end": piece.end,
            "end_note": piece.end_note,
            "ended_at": piece.ended_at,
            "replaced_in": piece.end_reorder_id,
        }
    )


def mark_answer(row: MarkRow) -> MarkAnswer:
    """A mark that was begun."""
    return MarkAnswer.model_validate(
        {
            "kind": row.kind,
            "form": row.form,
            "text": row.text,
            "state": row.state,
            "made_at": row.made_at,
            "verified_by": row.verified_by,
        }
    )


def revision_answer(row: RevisionRow, findings: Iterable[Finding] = ()) -> RevisionAnswer:
    """A released revision, with what was found when it was released."""
    return RevisionAnswer(
        cut_file=row.cut_file,
        revision=row.letter,
        sha256=row.sha256,
        size_bytes=row.size_bytes,
        note=row.note,
        units=row.units,
        area_mm2=round(row.area_mm2, 2),
        width_mm=round(row.width_mm, 3),
        height_mm=round(row.height_mm, 3),
        released_at=row.released_at,
        withdrawn_at=row.withdrawn_at,
        withdrawn_reason=row.withdrawn_reason,
        joints_changed=row.joints_changed,
        interfaces_changed=row.interfaces_changed,
        findings=finding_answers(findings),
    )


def cut_file_summaries(rows: Iterable[CutFileSummary]) -> tuple[CutFileSummaryAnswer, ...]:
    """Cut files in a list."""
    return tuple(
        CutFileSummaryAnswer(
            name=row.name,
            revision=row.revision,
            revisions=row.revisions,
            segments=row.segments,
            released_at=row.released_at,
        )
        for row in rows
    )


def history_answer(rows: Iterable[EventRow]) -> HistoryAnswer:
    """Lines of the journal, with what stood before and after as JSON again."""
    return HistoryAnswer(
        events=tuple(
            EventAnswer(
                at=row.at,
                actor=row.actor,
                verb=row.verb,
                subject=row.subject,
                before=_json(row.before),
                after=_json(row.after),
            )
            for row in rows
        )
    )


def _json(text: str | None) -> Any:  # noqa: ANN401 - whatever the verb wrote
    return None if text is None else json.loads(text)
