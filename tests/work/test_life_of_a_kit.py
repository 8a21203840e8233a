"""Any interleaving of issue, retry, move, rename, survey, share, retire, revise, reorder, scrap and crash.

It keeps: no number twice, none reused, each resolvable, no half kit, every piece accounted for, the ledger one chain.
A crash is made by the database itself: SQLite's virtual machine is stopped in the middle of a statement, the server's
process that serves the connection is ended.
"""

from __future__ import annotations

import contextlib
import shutil
import tempfile
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import cast

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import initialize, invariant, rule, run_state_machine_as_test
from sqlalchemy.exc import DBAPIError

from schemas.machines import MoveRequest, RenameRequest, SurveyRequest
from schemas.manifest_reading import read_manifest
from schemas.pieces import RetirementRequest, SetRequest, ShareRequest
from schemas.requests import CorrectionRequest, ReorderRequest
from service.errors import KitwrightError
from service.store.database import Database
from service.store.vault import Vault
from service.work.correct import correct_kit
from service.work.issue import issue_kit
from service.work.make_set import make_set
from service.work.move import move_machine
from service.work.rename import line_names, rename_line
from service.work.rendering import RenderRoom
from service.work.reorder import reorder
from service.work.resolve import resolve_mark
from service.work.retire import retire_kit
from service.work.share import share_segment
from service.work.survey import survey_machine
from service.work.verify_ledger import ledger_tip, verify_ledger
from service.work.where import list_machines, show_machine
from service.work.workshop import Workshop
from tests.postgres import PostgresServer
from tests.small_kit import as_bytes, manifest, release, release_all
from tests.small_shop import rows
from tests.work.conftest import TEMPLATES
from tests.work.life_of_kits import CONTAINERS, KIT, KITS, PARTS, SHARE, LifeOfKits
from tests.work.striking import striking

MACHINE = "OSV4-FC1"
TURNING = {"rotation": {"value": "clockwise", "grade": "measured"}}
CRASHING = ("issue", "set", "order", "void", "share", "retire", "release", "move", "rename", "survey")


class LifeWithCrashes(LifeOfKits):
    """The same in time and place, with writes that break off."""

    @initialize()
    def begin_in_time(self) -> None:
        """The machine stands where it was born, and nothing was written down outside yet."""
        self.line = 4
        self.names = ["line 4"]
        self.surveys = 0
        self.tips: list[str] = []
        self.unique = 0

    def machine_is_born(self) -> bool:
        return bool(self.numbers)

    def new_name(self) -> str:
        self.unique += 1
        return f"hall {self.unique}"

    @rule(line=st.sampled_from([4, 7, 9]))
    def move(self, line: int) -> None:
        if not self.machine_is_born():
            return
        with contextlib.suppress(KitwrightError):
            moved = move_machine(self.opened, MACHINE, MoveRequest(line=str(line)))
            assert moved.designation == MACHINE
            assert line != self.line
            self.line = line

    @rule()
    def rename(self) -> None:
        if self.machine_is_born():
            name = self.new_name()
            assert rename_line(self.opened, "OSV", 4, RenameRequest(name=name)).name == name
            self.names.append(name)

    @rule()
    def survey(self) -> None:
        if self.machine_is_born():
            # Another figure each time: a survey that states nothing new marks no kit that was made after the last one.
            asked = {"pitch_mm": {"value": 104.72 + self.surveys, "grade": "measured"}}
            found = survey_machine(self.opened, MACHINE, SurveyRequest.model_validate(asked))
            self.surveys += 1
            in_use = {kit.number for kit in self.issued()} - self.retired
            assert in_use <= set(found.check_before_reuse)

    @rule(what=st.sampled_from(CRASHING), at=st.integers(1, 60), pick=SHARE, kit=KIT)
    def crash(self, what: str, at: int, pick: int, kit: str) -> None:
        """A write breaks off at some statement, at its commit at the latest: nothing of it is on record."""
        work = self.about_to(what, pick, kit)
        if work is None:
            return
        before = rows(self.opened)
        with pytest.raises((KitwrightError, DBAPIError)), striking(self.opened.database, at):
            work()
        assert rows(self.opened) == before, f"something of '{what}' stayed"

    def about_to(self, what: str, pick: int, kit: str) -> Callable[[], object] | None:
        """What somebody is about to do; None where nothing is there to do it to."""
        shop, number = self.opened, self.a_number(pick)
        if what == "issue":
            free = [code for code in sorted(CONTAINERS) if self.kit(KITS[code]) is None]
            if not free:
                return None
            body = as_bytes(manifest(container=CONTAINERS[free[pick % len(free)]], segments=PARTS))
            return partial(issue_kit, shop, read_manifest(body))
        if what == "release":
            place = "SW2-U1"
            return partial(release, shop, place, revision="A")
        if number is None:
            return None
        reason = {"reason": "cut up differently", "void": [{"number": number}]}
        verbs: dict[str, Callable[[], object]] = {
            "set": partial(make_set, shop, kit, SetRequest(override="wanted again")),
            "order": partial(reorder, shop, ReorderRequest(mark=number, reason="crushed", override="wanted again")),
            "void": partial(
                correct_kit, shop, resolve_mark(shop, number).kit, CorrectionRequest.model_validate(reason)
            ),
            "share": partial(share_segment, shop, kit, ShareRequest(number=number)),
            "retire": partial(retire_kit, shop, kit, RetirementRequest(reason="bottle is gone")),
            "move": partial(move_machine, shop, MACHINE, MoveRequest(line="12")),
            "rename": partial(rename_line, shop, "OSV", 4, RenameRequest(name="never")),
            "survey": partial(survey_machine, shop, MACHINE, SurveyRequest.model_validate(TURNING)),
        }
        return verbs[what]

    @invariant()
    def the_machine_is_found_by_every_name_of_its_places(self) -> None:
        if not self.machine_is_born():
            return
        machine = show_machine(self.opened, MACHINE)
        assert machine.stands_on is not None
        assert machine.stands_on.line_ordinal == self.line
        assert len(machine.surveys) == self.surveys
        assert [name.name for name in line_names(self.opened, "OSV", 4).names] == self.names
        if self.line == 4:
            for name in self.names:
                found = list_machines(self.opened, plant="OSV", line=name)
                assert MACHINE in [one.designation for one in found.machines]

    @invariant()
    def no_kit_is_half(self) -> None:
        wanted = {f"{assembly}-{row['deck']}{row['ordinal']}" for assembly, part in PARTS.items() for row in part}
        for kit in self.issued():
            assert wanted <= {row.place for row in kit.segments if row.status != "shared"}
            assert all(row.key for row in kit.segments if row.status != "shared")

    @invariant()
    def the_ledger_is_one_chain(self) -> None:
        """Up to every tip that was ever written down outside."""
        found = verify_ledger(self.opened, tips=self.tips)
        assert found.whole, found.faults
        tip = ledger_tip(self.opened)
        if tip.id and tip.tip not in self.tips:
            self.tips.append(tip.tip)


# A machine is made for each life; what makes it may be any callable, though the library's types say a class.
def test_on_sqlite(migrated_sqlite: Path, tmp_path: Path) -> None:
    def fresh() -> LifeWithCrashes:
        folder = Path(tempfile.mkdtemp(dir=tmp_path))
        shutil.copy(migrated_sqlite, folder / "kitwright.db")
        return _life(f"sqlite:///{folder / 'kitwright.db'}", folder)

    run_state_machine_as_test(cast("type[LifeWithCrashes]", fresh), settings=_settings(5))


def test_on_postgresql(postgres: PostgresServer, tmp_path: Path) -> None:
    template = postgres.template("migrated", _migrate)
    names: list[str] = []

    def fresh() -> LifeWithCrashes:
        names.append(postgres.create_database(template=template))
        return _life(postgres.url(names[-1]), Path(tempfile.mkdtemp(dir=tmp_path)))

    run_state_machine_as_test(cast("type[LifeWithCrashes]", fresh), settings=_settings(2))
    for name in names:
        postgres.drop_database(name)


def _migrate(url: str) -> None:
    with contextlib.closing(Database(url)) as database:
        database.migrate()


def _clock() -> Callable[[], str]:
    """A minute goes by between any two looks at it."""
    moment = datetime(2026, 3, 9, 8, 0, tzinfo=UTC)

    def now() -> str:
        nonlocal moment
        moment += timedelta(minutes=1)
        return moment.strftime("%Y-%m-%dT%H:%M:%SZ")

    return now


def _life(url: str, folder: Path) -> LifeWithCrashes:
    machine = LifeWithCrashes()
    machine.opened = Workshop(
        database=Database(url),
        vault=Vault(str(folder / "vault")),
        templates=TEMPLATES,
        public_url="http://127.0.0.1:8000",
        rendering=RenderRoom(0),
        now=_clock(),
    )
    release_all(machine.opened)
    return machine


def _settings(examples: int) -> settings:
    return settings(
        max_examples=examples,
        stateful_step_count=25,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
    )
