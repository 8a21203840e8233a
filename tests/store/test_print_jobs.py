"""Print jobs on record: what was printed stays printed, and who works on a job is one."""

from __future__ import annotations

import pytest
from sqlalchemy import Connection, text
from sqlalchemy.exc import IntegrityError

from service.store import print_jobs
from service.store.print_jobs import NewJobMark, NewPrintJob
from tests.factories import NOW, make_kit

JOB = NewPrintJob(
    subject="OSV4-FC1-A500",
    template="nameplate-60x22",
    paper="roll",
    dpi=203,
    start_cell=1,
    copies=1,
    printer="ipp://labels.example/ipp/print",
    token="9f3a61c2",
    made_at=NOW,
    made_by="assembler",
)


@pytest.fixture
def job(writing: Connection) -> int:
    make_kit(writing)
    marks = [NewJobMark(page=page, segment_id=page, piece_id=None, key="K7M4XRAW") for page in (1, 2)]
    return print_jobs.add_print_job(writing, JOB, marks)


def test_a_job_waits_with_its_marks_in_order(writing: Connection, job: int) -> None:
    row = print_jobs.find_print_job(writing, job)
    assert row is not None
    assert (row.state, row.said, row.owner, row.printer) == ("waiting", "", None, JOB.printer)
    marks = print_jobs.job_marks(writing, job)
    assert [(mark.ordinal, mark.page, mark.state) for mark in marks] == [(1, 1, "waiting"), (2, 2, "waiting")]
    assert print_jobs.find_print_job(writing, job + 1) is None


def test_a_list_counts_what_is_printed(writing: Connection, job: int) -> None:
    print_jobs.set_page(writing, job, 1, "sent", job_name="kitwright 1 page 1 x", sent_at=NOW)
    print_jobs.set_page(writing, job, 1, "printed", ended_at=NOW)
    second = print_jobs.add_print_job(writing, JOB, [NewJobMark(page=1, segment_id=1, piece_id=None, key="K7M4XRAW")])
    found = print_jobs.list_print_jobs(writing, limit=10)
    assert [(one.job.id, one.marks, one.printed) for one in found] == [(second, 1, 0), (job, 2, 1)]
    assert [one.job.id for one in print_jobs.list_print_jobs(writing, before=second, limit=10)] == [job]
    assert print_jobs.list_print_jobs(writing, subject="OSV4-FC1-C500", limit=10) == ()


def test_a_claim_is_one_process_s(writing: Connection, job: int) -> None:
    print_jobs.take_job(writing, job, owner="a", until=NOW)
    assert [row.id for row in print_jobs.printing_jobs(writing)] == [job]
    assert print_jobs.hold_job(writing, job, owner="a", until=NOW)
    assert not print_jobs.hold_job(writing, job, owner="b", until=NOW)
    print_jobs.leave_job(writing, job, "stopped", "media-empty")
    assert not print_jobs.hold_job(writing, job, owner="a", until=NOW)
    assert print_jobs.printing_jobs(writing) == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE print_job_mark SET state = 'waiting' WHERE page = 1",
        "UPDATE print_job_mark SET page = 3",
        "UPDATE print_job_mark SET key = 'P3HW9TCP'",
        "UPDATE print_job SET printer = 'ipp://elsewhere.example/'",
        "UPDATE print_job SET state = 'stopped'",
        "DELETE FROM print_job_mark",
        "DELETE FROM print_job",
        "UPDATE print_job_mark SET state = 'sent' WHERE page = 2",
        "UPDATE print_job SET owner = 'a'",
    ],
)
def test_what_is_printed_and_what_has_ended_stays_so(writing: Connection, job: int, statement: str) -> None:
    print_jobs.set_page(writing, job, 1, "sent", job_name="kitwright 1 page 1 x", sent_at=NOW)
    print_jobs.set_page(writing, job, 1, "printed", ended_at=NOW)
    print_jobs.leave_job(writing, job, "done")
    with pytest.raises(IntegrityError), writing.begin_nested():
        writing.execute(text(statement))
