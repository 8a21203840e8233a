"""The ledger under processes that write at the same moment, and under processes that are killed."""

from __future__ import annotations

import random
import re
import time
from contextlib import ExitStack

import pytest

from service.store.chain import Anchor
from service.store.database import Database
from service.store.ledger import verify
from tests.faults.processes import snippet

WRITERS = 4
EACH = 60

# Several events a transaction, so that a kill can fall between two of them. However a machine shares out its cores, a
# writer goes on until somebody else has written too: so the writers always meet.
WRITE = """
import sys
from itertools import count
from service.store.database import Database
from service.store.events import NewEvent, record, record_many
from service.store.ledger import tip
database, who, times = Database(sys.argv[1]), sys.argv[2], int(sys.argv[3])
print("open", flush=True)
for number in count(1):
    with database.write() as connection:
        fact = {"at": "2026-03-09T08:15:00Z", "actor": who, "subject": "OSV4"}
        record_many(connection, [NewEvent(verb="correct", after=n, **fact) for n in range(3)])
        record(connection, verb="void", before={"n": number}, **fact)
        last = tip(connection)
    print("tip", last, flush=True)
    if number >= times and last.id > 4 * number:
        break
"""


def url_of(database: Database) -> str:
    return database.url.render_as_string(hide_password=False)


def said(output: str) -> list[Anchor]:
    """The tips that a process printed after its commits."""
    return [Anchor.parse(found) for found in re.findall(r"^tip ([0-9a-f]{64}:\d+)$", output, re.MULTILINE)]


def test_processes_that_write_at_once_keep_one_chain(database: Database) -> None:
    with ExitStack() as stack:
        writers = [
            stack.enter_context(snippet(WRITE, arguments=[url_of(database), f"writer {number}", str(EACH)]))
            for number in range(WRITERS)
        ]
        codes = [writer.wait(timeout_s=120) for writer in writers]
        anchors = [said(writer.output) for writer in writers]
    assert codes == [0] * WRITERS
    assert all(len(tips) >= EACH for tips in anchors)
    with database.read() as connection:
        report = verify(connection, [anchor for tips in anchors for anchor in tips])
    assert report.whole, report.faults
    assert report.rows == 4 * sum(len(tips) for tips in anchors)
    ids = [[anchor.id for anchor in tips] for tips in anchors]
    assert any(one[0] < other[-1] and other[0] < one[-1] for one in ids for other in ids if one is not other), (
        "the writers never met, the test would prove nothing"
    )


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_writer_killed_at_any_moment_leaves_the_chain_whole(database: Database, seed: int) -> None:
    moment = random.Random(seed)
    tips: list[Anchor] = []
    with snippet(WRITE, arguments=[url_of(database), "the one that stays", "100000"]) as stays:
        stays.wait_for_output("tip")
        for _ in range(2):
            with snippet(WRITE, arguments=[url_of(database), "the one that goes", "100000"]) as goes:
                goes.wait_for_output("tip")
                time.sleep(moment.uniform(0.0, 0.03))
                goes.kill9()
                tips += said(goes.output)
        stays.kill9()
        tips += said(stays.output)
    with database.read() as connection:
        report = verify(connection, tips)
    assert report.whole, report.faults
    assert report.rows % 4 == 0, "a transaction was committed in part"
    assert len(tips) <= report.rows // 4 <= len(tips) + 3, "of each process one more may be committed than it could say"
