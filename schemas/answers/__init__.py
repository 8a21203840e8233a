"""What the service answers, one file a subject."""

from __future__ import annotations

from schemas.answers.base import Answer
from schemas.answers.cut_files import (
    CutFileAnswer,
    CutFileListAnswer,
    CutFileSummaryAnswer,
    RevisionAnswer,
    WithdrawalAnswer,
    WithdrawnPieceAnswer,
)
from schemas.answers.kits import (
    FindingAnswer,
    JointAnswer,
    KitAnswer,
    KitListAnswer,
    KitSegmentAnswer,
    KitSummaryAnswer,
    PieceAnswer,
)
from schemas.answers.readings import CandidateAnswer, GroupAnswer, ReadAnswer, ReadManyAnswer, RepairAnswer
from schemas.answers.reorders import AlsoCutAnswer, CutAnswer, ReorderAnswer, ReorderListAnswer
from schemas.answers.segments import ContainerAnswer, MachineAnswer, MarkAnswer, NeighbourAnswer, SegmentAnswer
from schemas.answers.shop import (
    CodeAnswer,
    CodeCheckAnswer,
    CodeListAnswer,
    EventAnswer,
    HealthAnswer,
    HistoryAnswer,
    RivalAnswer,
    ShopAnswer,
)
from schemas.answers.templates import (
    SchemaAnswer,
    TemplateAnswer,
    TemplateFindingAnswer,
    TemplateLeftOutAnswer,
    TemplateLintAnswer,
    TemplateListAnswer,
)

__all__ = [
    "AlsoCutAnswer",
    "Answer",
    "CandidateAnswer",
    "CodeAnswer",
    "CodeCheckAnswer",
    "CodeListAnswer",
    "ContainerAnswer",
    "CutAnswer",
    "CutFileAnswer",
    "CutFileListAnswer",
    "CutFileSummaryAnswer",
    "EventAnswer",
    "FindingAnswer",
    "GroupAnswer",
    "HealthAnswer",
    "HistoryAnswer",
    "JointAnswer",
    "KitAnswer",
    "KitListAnswer",
    "KitSegmentAnswer",
    "KitSummaryAnswer",
    "MachineAnswer",
    "MarkAnswer",
    "NeighbourAnswer",
    "PieceAnswer",
    "ReadAnswer",
    "ReadManyAnswer",
    "ReorderAnswer",
    "ReorderListAnswer",
    "RepairAnswer",
    "RevisionAnswer",
    "RivalAnswer",
    "SchemaAnswer",
    "SegmentAnswer",
    "ShopAnswer",
    "TemplateAnswer",
    "TemplateFindingAnswer",
    "TemplateLeftOutAnswer",
    "TemplateLintAnswer",
    "TemplateListAnswer",
    "WithdrawalAnswer",
    "WithdrawnPieceAnswer",
]
