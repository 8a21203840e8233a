"""What may happen to kits, in whatever order: no number twice, none reused, all resolve, every piece accounted for."""

from __future__ import annotations

import contextlib
from collections import Counter

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from schemas.answers import KitAnswer, PieceAnswer
from schemas.manifest_reading import read_manifest
from schemas.pieces import (
    DeviationRequest,
    RetirementRequest,
    ScrapCountRequest,
    ScrapRequest,
    SetRequest,
    ShareRequest,
    TrackRequest,
    UnshareRequest,
)
from schemas.requests import CancelRequest, CorrectionRequest, FittedRequest, ReorderRequest
from service.errors import Conflict, KitwrightError
from service.work.correct import correct_kit
from service.work.fit import cancel_reorder, fit_reorder
from service.work.issue import issue_kit
from service.work.make_set import make_set
from service.work.once import Retry
from service.work.read import read_mark
from service.work.reorder import list_reorders, reorder, show_reorder
from service.work.resolve import resolve_mark
from service.work.retire import retire_kit
from service.work.scrap import record_deviation, scrap_counted, scrap_piece
from service.work.share import share_segment, unshare_segment
from service.work.show_kit import show_kit
from service.work.track_pieces import show_piece, track_pieces
from service.work.withdraw import withdraw_revision
from service.work.workshop import Workshop
from tests.small_kit import as_bytes, file_of, manifest, release, segment

CONTAINERS = {
    "A500": {"code": "A500", "name": "tall round 500 mL", "nominal": 500, "unit": "mL", "shape": "round"},
    "C500": {"code": "C500", "name": "square 500 mL", "nominal": 500, "unit": "mL", "shape": "square"},
    "A330": {"code": "A330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "shape": "round"},
}
KITS = {code: f"OSV4-FC1-{code}" for code in CONTAINERS}
PARTS = {
    "SW2": [segment("SW2-U3", revision=None), segment("SW2-U4", revision=None)],
    "BP1": [segment("BP1-X1", quantity=6, thickness_mm=15.0)],
}
KIT = st.sampled_from(sorted(KITS.values()))
SHARE = st.integers(0, 10_000)
LETTERS = ("A", "B", "C")


class LifeOfKits(RuleBasedStateMachine):
    """Three kits of one machine, cut from the same files, and everything that may happen to them."""

    opened: Workshop
    """Of the test that runs it."""

    tried = Bundle("tried")

    @initialize()
    def begin(self) -> None:
        """Nothing is issued. The models keep what a shop would have written down by hand."""
        self.shop = self.opened
        self.numbers: set[str] = set()
        self.keys: set[str] = set()
        self.made: Counter[str] = Counter()
        self.retired: set[str] = set()
        self.retries = 0
        self.released = 0

    def issued(self) -> list[KitAnswer]:
        return [kit for number in KITS.values() if (kit := self.kit(number)) is not None]

    def kit(self, number: str) -> KitAnswer | None:
        with contextlib.suppress(KitwrightError):
            return show_kit(self.shop, number)
        return None

    def a_number(self, pick: int) -> str | None:
        every = sorted(self.numbers)
        return every[pick % len(every)] if every else None

    def pieces(self, number: str) -> tuple[PieceAnswer, ...]:
        return resolve_mark(self.shop, number).pieces

    def note_kit(self, kit: KitAnswer) -> None:
        """Every number and key of a kit is seen for the first time, or was this kit's before."""
        for row in kit.segments:
            if row.status == "shared" or row.number in self.numbers:
                continue
            assert row.number not in self.numbers
            self.numbers.add(row.number)
            pieces = self.pieces(row.number)
            self.made[row.number] += sum(piece.count for piece in pieces)
            self.note_keys([row.key, *(piece.key for piece in pieces)])

    def note_keys(self, keys: list[str | None]) -> None:
        """Keys that nobody had before."""
        fresh = [key for key in keys if key is not None]
        assert not set(fresh) & self.keys, "a key was given twice"
        assert len(set(fresh)) == len(fresh)
        self.keys |= set(fresh)

    def teardown(self) -> None:
        self.opened.exact.close()
        self.opened.database.close()

    @rule(code=st.sampled_from(sorted(CONTAINERS)))
    def issue(self, code: str) -> None:
        wanted = read_manifest(as_bytes(manifest(container=CONTAINERS[code], segments=PARTS)))
        if self.kit(KITS[code]) is not None:
            with pytest.raises(KitwrightError, match="already issued"):
                issue_kit(self.shop, wanted)
            return
        retry = Retry.of(f"issue {code}", "POST /api/kits", code.encode())
        kit = issue_kit(self.shop, wanted, retry=retry)
        assert issue_kit(self.shop, wanted, retry=retry) == kit
        assert not {row.number for row in kit.segments} & self.numbers
        self.note_kit(kit)

    @rule(kit=KIT, override=st.booleans(), named=st.sampled_from([{}, {"SW2-U3": "-", "SW2-U4": "-"}]))
    def make_set(self, kit: str, override: bool, named: dict[str, str]) -> None:  # noqa: FBT001  by name
        before = self.kit(kit)
        request = SetRequest(revisions=named, override="wanted again" if override else None)
        self.retries += 1
        retry = Retry.of(f"set {self.retries}", f"POST /api/kits/{kit}/sets", b"")
        try:
            made = make_set(self.shop, kit, request, retry=retry)
        except KitwrightError:
            after = self.kit(kit)
            assert before is None or (after is not None and after.sets == before.sets)
            return
        assert before is not None
        assert made.set == max(before.sets) + 1
        assert kit not in self.retired or override
        for row in made.segments:
            self.made[row.number] += row.quantity
            self.note_keys(list(row.keys))
        assert make_set(self.shop, kit, request, retry=retry) == made

    @rule(pick=SHARE, count=st.integers(1, 4), in_set=st.sampled_from([None, 1, 2]))
    def track(self, pick: int, count: int, in_set: int | None) -> None:
        if (number := self.a_number(pick)) is None:
            return
        before = sum(piece.count for piece in self.pieces(number))
        with contextlib.suppress(KitwrightError):
            answer = track_pieces(self.shop, number, TrackRequest(track=count, set=in_set))
            assert len(answer.new_keys) == count
            self.note_keys(list(answer.new_keys))
        assert sum(piece.count for piece in self.pieces(number)) == before

    @rule(pick=SHARE, count=st.integers(1, 3), in_set=st.sampled_from([None, 1, 2]))
    def scrap_count(self, pick: int, count: int, in_set: int | None) -> None:
        if (number := self.a_number(pick)) is not None:
            with contextlib.suppress(KitwrightError):
                scrap_counted(self.shop, number, ScrapCountRequest(kind="worn", count=count, set=in_set))

    @rule(pick=SHARE, rework=st.booleans())
    def scrap_or_rework(self, pick: int, rework: bool) -> None:  # noqa: FBT001  by name
        every = sorted(self.keys)
        if not every:
            return
        key = every[pick % len(every)]
        with contextlib.suppress(KitwrightError):
            if rework:
                record_deviation(self.shop, key, DeviationRequest(deviation="edge rounded"))
            else:
                scrap_piece(self.shop, key, ScrapRequest(kind="broken"))
                assert show_piece(self.shop, key).end == "broken"

    @rule(
        target=tried,
        pick=SHARE,
        by_key=st.booleans(),
        quantity=st.integers(1, 3),
        newest=st.booleans(),
        override=st.booleans(),
    )
    def order(self, pick: int, by_key: bool, quantity: int, newest: bool, override: bool) -> int:  # noqa: FBT001  by name
        every = sorted(self.keys if by_key else self.numbers)
        if not every:
            return 0
        request = ReorderRequest(
            mark=every[pick % len(every)],
            reason="crushed",
            quantity=quantity,
            prefer="newest" if newest else "as_built",
            override="wanted again" if override else None,
            also="one more",
        )
        try:
            made = reorder(self.shop, request)
        except Conflict:
            return 0
        for number, keys in ((made.number, made.keys), *((also.number, also.keys) for also in made.also_cut)):
            assert len(keys) in (0, quantity)
            self.made[number] += len(keys)
            self.note_keys(list(keys))
        assert (made.cut is None) == (made.outcome == "no_record") == (made.keys == ())
        return made.id

    @rule(id_=tried, fits=st.booleans())
    def settle(self, id_: int, fits: bool) -> None:  # noqa: FBT001  by name
        if id_ == 0:
            return
        with contextlib.suppress(Conflict):
            if fits:
                fit_reorder(self.shop, id_, FittedRequest())
            else:
                cancel_reorder(self.shop, id_, CancelRequest(reason="not wanted"))

    @rule(pick=SHARE, replaced=st.booleans())
    def void(self, pick: int, replaced: bool) -> None:  # noqa: FBT001  by name
        if (number := self.a_number(pick)) is None:
            return
        facts = resolve_mark(self.shop, number)
        body = {"deck": "U", "cut_file": file_of("SW2-U3"), "material": "UHMW-PE", "thickness_mm": 25.0}
        item = {"number": number, "replacements": [body] if replaced and facts.place.startswith("SW") else []}
        with contextlib.suppress(KitwrightError):
            request = CorrectionRequest.model_validate({"reason": "cut up differently", "void": [item]})
            self.note_kit(correct_kit(self.shop, facts.kit, request))

    @rule(pick=SHARE, kit=KIT, back=st.booleans())
    def share(self, pick: int, kit: str, back: bool) -> None:  # noqa: FBT001  by name
        if (number := self.a_number(pick)) is None:
            return
        with contextlib.suppress(KitwrightError):
            if back:
                unshare_segment(self.shop, kit, UnshareRequest(number=number, reason="own one made"))
                assert kit not in resolve_mark(self.shop, number).serves
            else:
                share_segment(self.shop, kit, ShareRequest(number=number))
                assert kit in resolve_mark(self.shop, number).serves or kit in self.retired

    @rule(kit=KIT)
    def retire(self, kit: str) -> None:
        found = self.kit(kit)
        if found is None:
            return
        own = [row.number for row in found.segments if row.status == "active"]
        leaning = {other for number in own for other in resolve_mark(self.shop, number).serves}
        try:
            retire_kit(self.shop, kit, RetirementRequest(reason="bottle is gone"))
        except Conflict:
            assert leaning or kit in self.retired
            return
        assert not leaning
        assert kit not in self.retired
        self.retired.add(kit)

    @rule(withdrawn=st.booleans())
    def revise(self, withdrawn: bool) -> None:  # noqa: FBT001  by name
        """Both quarters get the next letter and another joint; sometimes the letter before is withdrawn."""
        if self.released == len(LETTERS):
            return
        for place, other in (("SW2-U3", "SW2-U4"), ("SW2-U4", "SW2-U3")):
            release(self.shop, place, revision=LETTERS[self.released], joints_changed=other)
            if withdrawn:
                before = "-" if self.released == 0 else LETTERS[self.released - 1]
                with contextlib.suppress(KitwrightError):
                    withdraw_revision(self.shop, file_of(place), before, "joint too weak")
        self.released += 1

    @invariant()
    def every_number_ever_issued_resolves(self) -> None:
        for number in self.numbers:
            assert read_mark(self.shop, number).number == number
            facts = resolve_mark(self.shop, number)
            assert (facts.kit_status == "retired") == (facts.kit in self.retired)
        for kit in self.issued():
            assert {row.number for row in kit.segments if row.status != "shared"} <= self.numbers

    @invariant()
    def every_piece_is_accounted_for(self) -> None:
        open_keys = {
            key
            for row in list_reorders(self.shop, after=None, limit=200)
            if row.open
            for key in (*row.keys, *(key for also in row.also_cut for key in also.keys))
        }
        for number in self.numbers:
            facts = resolve_mark(self.shop, number)
            assert sum(piece.count for piece in facts.pieces) == self.made[number], "a piece came or went"
            for piece in facts.pieces:
                assert (piece.end is not None) == (piece.condition == "scrapped")
                if piece.condition == "ordered":
                    assert piece.key in open_keys
                if piece.end == "replaced":
                    assert piece.replaced_in is not None
                    assert show_reorder(self.shop, piece.replaced_in).state == "fitted"
            if facts.void_reason:
                assert {piece.condition for piece in facts.pieces} <= {"scrapped"}
