"""Whether the ledger is whole: every row there, saying what it said, up to the tips that are kept elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from schemas.ledger import LedgerAnswer, LedgerFaultAnswer, LedgerTipAnswer
from service.store import ledger
from service.store.chain import Anchor, LedgerTip
from service.work.workshop import Workshop


def ledger_tip(workshop: Workshop) -> LedgerTipAnswer:
    """The last row of the ledger, to be written down where nobody who can change the ledger can change it too."""
    with workshop.database.read() as connection:
        return tip_answer(ledger.tip(connection))


def verify_ledger(
    workshop: Workshop, *, tips: Sequence[str] = (), read: Callable[[int, int], None] = lambda _read, _rows: None
) -> LedgerAnswer:
    """Read the whole ledger and name each row that is not as it was written.

    Args:
        workshop: whose ledger.
        tips: what was written down elsewhere, ``<SHA-256>:<id>``. Without any, rows cut off at the end are not seen,
            nor is a ledger whose every hash was computed again.
        read: told from time to time how many rows were read, and of how many.

    Raises:
        BadRequest: a tip is none.
    """
    anchors = [Anchor.parse(tip) for tip in tips]
    with workshop.database.read() as connection:
        rows = ledger.tip(connection).id
        report = ledger.verify(connection, anchors, read=lambda count: read(count, rows))
    return LedgerAnswer(
        whole=report.whole,
        rows=report.rows,
        tip=tip_answer(report.tip),
        anchors=tuple(str(anchor) for anchor in anchors),
        fault_count=report.fault_count,
        faults=tuple(
            LedgerFaultAnswer(id=fault.id, last_id=fault.last_id, kind=fault.kind, message=fault.message)
            for fault in report.faults
        ),
    )


def tip_answer(tip: LedgerTip) -> LedgerTipAnswer:
    """A tip as it is answered."""
    return LedgerTipAnswer(id=tip.id, sha256=tip.sha256, at=tip.at or None, tip=str(tip))
