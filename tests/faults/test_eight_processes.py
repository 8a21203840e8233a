"""Eight processes issue kits while they are killed at random: what is on record is what was wanted, no more, no less.

``TEST_KILLED_ISSUES`` says how many kits each process issues, 25 unless it is set; ``make killed`` takes 500.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import random
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from contextlib import closing, contextmanager
from multiprocessing.context import ForkServerProcess
from pathlib import Path

import pytest

from service.store.database import Database
from service.work.read import read_exact
from service.work.resolve import resolve_mark
from service.work.verify_ledger import verify_ledger
from service.work.workshop import Workshop
from tests.faults.issuers import KITS_A_MACHINE, MOST_KITS, PLACES, PROCESSES, issue_all, wanted_by
from tests.faults.test_issue import rows
from tests.large_kit import open_large, release_plate
from tests.postgres import PostgresServer

EACH = int(os.environ.get("TEST_KILLED_ISSUES", "25"))
# How many answers all processes together get between two kills, and how long after the last of them the next one dies.
ANSWERS = (3, 17)
MOMENT_S = 0.03
SERVER_KILLS = 2
LIMIT_S = 120 + 4 * EACH
RESOLVED = 100


@contextmanager
def opened(database: Database, vault: Path) -> Iterator[Workshop]:
    """A workshop over the records that the processes share, the one cut file released."""
    workshop = open_large(database.url.render_as_string(hide_password=False), str(vault))
    release_plate(workshop)
    with closing(workshop.database), closing(workshop.exact):
        yield workshop


class Issuers:
    """The processes: started, killed at random, and started again until each is through."""

    def __init__(self, database: Database, folder: Path) -> None:
        # Forked from a server that has loaded everything: a new process is at work within milliseconds.
        self._context = multiprocessing.get_context("forkserver")
        self._context.set_forkserver_preload(["pytest", "tests.faults.issuers"])
        self._url = database.url.render_as_string(hide_password=False)
        self._folder = folder
        self._alive = {number: self._start(number) for number in range(1, PROCESSES + 1)}
        self.kills = 0

    def _start(self, number: int) -> ForkServerProcess:
        self.said(number).touch()
        arguments = (self._url, str(self._folder / "vault"), number, EACH, self.said(number))
        process = self._context.Process(target=issue_all, args=arguments, daemon=True)
        process.start()
        return process

    def said(self, number: int) -> Path:
        """Where a process says what it was answered."""
        return self._folder / f"process {number}"

    def lines(self) -> int:
        """How many answers all of them got so far."""
        return sum(self.said(number).read_bytes().count(b"\n") for number in range(1, PROCESSES + 1))

    def kill_one(self, dice: random.Random) -> None:
        """Kill one of those at work, in the middle of whatever it does, and let another take its place."""
        number = dice.choice(list(self._alive))
        process = self._alive[number]
        process.kill()
        process.join()
        if process.exitcode != 0:
            self.kills += 1
            self._alive[number] = self._start(number)

    def at_work(self) -> bool:
        """Whether one of them is not through yet; one that ended by itself must have ended well."""
        for number, process in list(self._alive.items()):
            if process.exitcode is not None:
                assert process.exitcode == 0, f"process {number} failed; what it wrote is in the captured output"
                del self._alive[number]
        return bool(self._alive)

    def close(self) -> None:
        """End those that are left."""
        for process in self._alive.values():
            process.kill()
            process.join()


def answers(issuers: Issuers) -> dict[str, set[str]]:
    """By Idempotency-Key the SHA-256 of every answer that any process got under it."""
    found: dict[str, set[str]] = defaultdict(set)
    for number in range(1, PROCESSES + 1):
        said = [line.split() for line in issuers.said(number).read_text().splitlines()]
        wanted = list(wanted_by(number, EACH))
        assert [line[1] for line in said] == [one.number for one in wanted]
        for (outcome, _number, what), one in zip(said, wanted, strict=True):
            if outcome == "refused":
                # Only where a second client asks without the key the kit may be there before.
                assert what == "kit_exists"
                assert one.key is None or int(one.key.rsplit(" ", 1)[1]) % 10 == 5
            elif one.key is not None:
                found[one.key].add(what)
    return found


def assert_counts(workshop: Workshop) -> None:
    """Every kit that was wanted is on record, whole and once, and nothing else is."""
    wanted = {one.number for process in range(1, PROCESSES + 1) for one in wanted_by(process, EACH)}
    assert len(wanted) == PROCESSES * EACH
    with workshop.database.read() as connection:
        assert {row[0] for row in rows(connection, "SELECT number FROM kit")} == wanted
        issues = Counter(row[0] for row in rows(connection, "SELECT subject FROM event WHERE verb = 'issue'"))
        assert issues == Counter(wanted)
        segments = rows(
            connection,
            "SELECT kit.number, segment.number, segment.key FROM segment JOIN kit ON kit.id = segment.kit_id",
        )
        assert Counter(kit for kit, _number, _key in segments) == Counter(dict.fromkeys(wanted, len(PLACES)))
        assert len({number for _kit, number, _key in segments}) == len(segments)
        joints = rows(
            connection,
            "SELECT segment.kit_id, count(*) FROM joint JOIN segment ON segment.id = joint.first_id GROUP BY 1",
        )
        assert {count for _kit, count in joints} == {len(PLACES) - 1}
        assert len(joints) == len(wanted)
        pieces = rows(connection, "SELECT key, segment_id FROM piece")
        assert Counter(Counter(segment for _key, segment in pieces).values()) == {1: len(segments)}
        keys = Counter(row[0] for row in rows(connection, "SELECT key FROM issued_key"))
        assert keys == Counter([key for *_rest, key in segments] + [key for key, _segment in pieces])
        assert set(keys.values()) == {1}
        # Machines and containers that several processes were about to make at the same moment.
        assert rows(connection, "SELECT count(*) FROM container") == [(min(EACH, KITS_A_MACHINE),)]
        assert rows(connection, "SELECT count(*) FROM plant") == [(1,)]
        assert rows(connection, "SELECT count(*) FROM line") == [(PROCESSES,)]
        assert rows(connection, "SELECT count(*) FROM machine") == [(PROCESSES * -(-EACH // KITS_A_MACHINE),)]
    ledger = verify_ledger(workshop)
    assert ledger.whole, ledger.faults
    numbers = sorted(str(number) for _kit, number, _key in segments)
    assert all(read_exact(workshop, number) == number for number in numbers)
    for number in numbers[:: max(1, len(numbers) // RESOLVED)]:
        assert number.startswith(resolve_mark(workshop, number).kit)


def assert_each_key_answered_once(workshop: Workshop, said: dict[str, set[str]]) -> None:
    """Whoever asked under a key, before or after a kill, got the one answer that is on record under it."""
    with workshop.database.read() as connection:
        kept = rows(connection, "SELECT key, answer FROM idempotency")
    assert len({key for key, _answer in kept}) == len(kept)
    on_record = {str(key): hashlib.sha256(str(answer).encode()).hexdigest() for key, answer in kept}
    assert {key: {sha256} for key, sha256 in on_record.items()} == said
    # All but those where a second client without the key was quicker.
    assert len(kept) >= PROCESSES * (EACH - EACH // 10 - 1)


@pytest.mark.skipif(EACH > MOST_KITS, reason="more kits than the grammar has numbers for")
def test_counts_are_right_whoever_is_killed(database: Database, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    dice = random.Random(EACH)
    server: PostgresServer | None = None if database.is_local else request.getfixturevalue("postgres")
    every = PROCESSES * len(list(wanted_by(1, EACH)))
    falls = [] if server is None else sorted(dice.sample(range(every // 4, 3 * every // 4), SERVER_KILLS))
    with opened(database, tmp_path / "vault") as workshop:
        issuers = Issuers(database, tmp_path)
        began = time.monotonic()
        try:
            next_kill = dice.randint(*ANSWERS)
            while issuers.at_work():
                assert time.monotonic() - began < LIMIT_S, "the processes do not come to an end"
                time.sleep(dice.uniform(0, MOMENT_S))
                lines = issuers.lines()
                if lines >= next_kill:
                    issuers.kill_one(dice)
                    next_kill = lines + dice.randint(*ANSWERS)
                if server is not None and falls and lines >= falls[0]:
                    falls.pop(0)
                    server.kill9()
                    server.restart()
        finally:
            issuers.close()
        took = time.monotonic() - began
        assert issuers.kills >= PROCESSES
        assert falls == []
        said = answers(issuers)
        assert_counts(workshop)
        assert_each_key_answered_once(workshop, said)
    print(f"{PROCESSES} x {EACH} kits, {issuers.kills} processes killed, {took:.1f} s")
