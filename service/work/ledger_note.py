"""The row of the ledger that goes out with a packet: an anchor outside the service, the same whenever it is asked."""

from __future__ import annotations

from sqlalchemy import Connection

from service.store import ledger
from service.store.values import ReorderRow

_NOTE = """\
Ledger row {id}, written {at}, when this segment was ordered:

{anchor}

The SHA-256 stands for that row and for all rows before it. Whoever keeps this packet can have the ledger compared
with it at any time:

    kitwright verify-ledger --tip {anchor}
"""
_NO_ROW = """\
The ledger holds no row of reorder {id}, though one is written with every order: rows are missing from it. Tell whoever
runs the service to run

    kitwright verify-ledger
"""


def reorder_note(connection: Connection, reorder: ReorderRow) -> bytes:
    """What the packet of a reorder says of the ledger; a row that is lost does not keep the part from being cut."""
    for tip, after in ledger.tips_of(connection, subject=reorder.number, verb="reorder"):
        if isinstance(after, dict) and after.get("id") == reorder.id:
            return _NOTE.format(id=tip.id, at=tip.at, anchor=tip).encode()
    return _NO_ROW.format(id=reorder.id).encode()
