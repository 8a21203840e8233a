"""The service desk of an invented shop, and what it finds for callers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from pathlib import Path

from schemas.search import SearchRequest
from service.settings import SHIPPED_TEMPLATES
from service.store.database import Database
from service.store.template_folder import read_templates
from service.store.vault import Vault
from service.work.rendering import RenderRoom
from service.work.search import search
from service.work.workshop import Workshop
from tests.callers.said import Call
from tests.shop_of_a_million import Shop
from tests.shop_on_record import put_on_record


@contextmanager
def desk_of(shop: Shop, folder: Path) -> Iterator[Workshop]:
    """The shop on record in a SQLite file in the folder."""
    with closing(Database(f"sqlite:///{folder / 'kitwright.db'}")) as database:
        database.migrate()
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


def request_of(call: Call, *, limit: int) -> SearchRequest:
    """What the desk types in during a call."""
    return SearchRequest.model_validate(
        {
            "mark": call.mark or None,
            "came_by": call.came_by,
            "evidence": [{"question": said.question, "answer": said.answer} for said in call.answers],
            "limit": limit,
        }
    )


def places_found(desk: Workshop, shop: Shop, calls: Sequence[Call], *, most: int) -> list[int | None]:
    """For each call at which place the search names the right segment, from 1; None if not among so many."""
    found: list[int | None] = []
    for call in calls:
        answer = search(desk, request_of(call, limit=most))
        named = [candidate.number for candidate in answer.candidates]
        true = shop.numbers[call.segment]
        found.append(named.index(true) + 1 if true in named else None)
    return found
