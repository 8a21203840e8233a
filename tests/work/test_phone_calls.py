"""Five hundred telephone calls: the right segment is among the first three nearly as often as anybody could name it.

Two callers err in ways of their own (``tests/callers``), which know nothing of the search, and the search knows nothing
of them. For each the limit is computed: the ranking by the exact likelihood of all that was said, for every
segment of the shop.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from schemas.search import EvidencePart, SearchRequest
from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.rendering import RenderRoom
from service.work.search import search
from service.work.workshop import Workshop
from tests.callers.facts import Facts
from tests.callers.first_caller import FirstCaller
from tests.callers.limit import draw_calls, limit
from tests.callers.other_caller import OtherCaller
from tests.callers.said import Call
from tests.shop_of_a_million import Shop, make_shop
from tests.shop_on_record import put_on_record

SEGMENTS = 6_000
CALLS = 500
FIRST = 3
SHORT_OF_LIMIT = 0.02


@pytest.fixture(scope="module")
def shop() -> Shop:
    return make_shop(SEGMENTS, seed=11)


@pytest.fixture(scope="module")
def desk(shop: Shop, migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The shop on record, as the service desk has it."""
    folder = tmp_path_factory.mktemp("desk")
    path = folder / "kitwright.db"
    path.write_bytes(migrated_sqlite.read_bytes())
    with closing(Database(f"sqlite:///{path}")) as database:
        put_on_record(database, shop)
        workshop = Workshop(
            database=database,
            vault=Vault(str(folder / "vault")),
            templates=read_templates([SHIPPED_TEMPLATES]),
            public_url="http://127.0.0.1:8000",
            rendering=RenderRoom(0),
        )
        with closing(workshop.exact):
            yield workshop


def request_of(call: Call) -> SearchRequest:
    """What the desk types in during a call."""
    return SearchRequest(
        mark=call.mark or None,
        came_by=call.came_by,
        evidence=tuple(EvidencePart(question=said.question, answer=said.answer) for said in call.answers),
        limit=FIRST,
    )


def share_found(desk: Workshop, shop: Shop, calls: list[Call]) -> float:
    """The share of calls in which the right segment is among the first that the search names."""
    found = 0
    for call in calls:
        answer = search(desk, request_of(call))
        found += shop.numbers[call.segment] in [candidate.number for candidate in answer.candidates]
    return found / len(calls)


@pytest.mark.parametrize("kind", [FirstCaller, OtherCaller])
def test_five_hundred_calls_end_at_the_right_segment_as_often_as_can_be(
    desk: Workshop, shop: Shop, kind: type[FirstCaller] | type[OtherCaller]
) -> None:
    caller = kind(Facts(shop))
    calls = draw_calls(caller, len(shop), count=CALLS, seed=20)
    most = limit(caller, calls, places=FIRST)
    found = share_found(desk, shop, calls)
    print(f"{kind.__name__}: {found:.1%} among the first {FIRST}, limit {most:.1%}")
    assert 0.6 < most < 0.98, "calls that are all easy or all hopeless show nothing"
    assert found >= most - SHORT_OF_LIMIT
