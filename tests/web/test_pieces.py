"""Sets and pieces on the pages: a further set, pieces tracked and scrapped, shared parts, a retired kit."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from httpx2 import Response

from schemas.pieces import ScrapRequest
from service.errors import BadRequest
from service.web.pieces import revisions_of
from service.work.resolve import resolve_mark
from service.work.scrap import scrap_piece
from service.work.show_kit import list_kits, show_kit
from tests.demo_data import copied
from tests.web.conftest import OWNER_KEY, Desk, desk_over
from tests.web.parts import KIT, a_piece, number_at


def post(desk: Desk, address: str, **fields: str) -> Response:
    return desk.client.post(address, data=fields)


def words(page: Response) -> str:
    """What a page says, without its markup."""
    return " ".join(re.sub(r"<[^>]+>", "", page.text).split())


def a_count(desk: Desk) -> str:
    """The number of a segment whose pieces are only counted."""
    return next(row.number for row in show_kit(desk.workshop, KIT).segments if row.quantity > 10)


def older_revisions(desk: Desk) -> str:
    """Every segment as it was built the first time, so that the set locks."""
    return "\n".join(f"{row.place} rev {row.revision}" for row in show_kit(desk.workshop, KIT).segments)


def test_a_further_set_is_made_and_shown(own_desk: Desk) -> None:
    made = post(own_desk, f"/shop/kits/{KIT}/sets", revisions=older_revisions(own_desk), material_batch="PE-2207")
    assert made.status_code == 303, made.text
    assert show_kit(own_desk.workshop, KIT).sets == (1, 2)
    text = own_desk.client.get(f"/shop/kits/{KIT}").text
    assert 'data-set="2"' in text
    assert "PE-2207" in text
    assert "Make set 3" in text
    assert '<option value="2">set 2</option>' in text
    segment = own_desk.client.get(f"/desk/segments/{number_at(own_desk.workshop, 'SW2-U3')}").text
    assert 'name="set"' in segment


def test_a_set_made_twice_by_one_form_is_one_set(own_desk: Desk) -> None:
    for _ in range(2):
        post(own_desk, f"/shop/kits/{KIT}/sets", revisions=older_revisions(own_desk), retry_key="pressed twice")
    assert show_kit(own_desk.workshop, KIT).sets == (1, 2)


def test_a_set_that_does_not_lock_is_refused_with_what_was_typed(own_desk: Desk) -> None:
    refused = post(own_desk, f"/shop/kits/{KIT}/sets", revisions="SW2-U3 A", material_batch="PE-2207")
    assert refused.status_code >= 400
    assert "SW2-U3" in refused.text
    assert 'value="PE-2207"' in refused.text
    assert show_kit(own_desk.workshop, KIT).sets == (1,)


def test_lines_of_revisions_are_read_as_people_write_them() -> None:
    assert revisions_of("SW2-U3 B\n\n sw2 u4 rev C \n") == {"SW2-U3": "B", "sw2u4": "C"}
    with pytest.raises(BadRequest, match="no revision"):
        revisions_of("B")


def test_pieces_are_tracked_scrapped_and_reworked(own_desk: Desk) -> None:
    number = a_count(own_desk)
    address = f"/desk/segments/{number}"
    before = sum(piece.count for piece in resolve_mark(own_desk.workshop, number).pieces)
    assert post(own_desk, f"{address}/pieces", track="2", set="1").status_code == 303
    keys = [piece.key for piece in resolve_mark(own_desk.workshop, number).pieces if piece.key]
    assert len(keys) == 2
    assert post(own_desk, f"{address}/deviations", key=keys[0] or "", deviation="edge rounded").status_code == 303
    assert (
        post(own_desk, f"{address}/scrapped", piece=keys[1] or "", kind="lost", note="in the gutter").status_code == 303
    )
    assert post(own_desk, f"{address}/scrapped", piece="set 1", kind="worn", count="3").status_code == 303
    pieces = resolve_mark(own_desk.workshop, number).pieces
    assert sum(piece.count for piece in pieces) == before
    assert sum(piece.count for piece in pieces if piece.condition == "scrapped") == 4
    text = own_desk.client.get(address).text
    assert "edge rounded" in text
    assert "lost" in text
    assert "in the gutter" in text
    scrapped = words(own_desk.client.get(f"/s/{keys[1]}"))
    assert "On record it is scrapped: lost on" in scrapped
    assert "in the gutter. Ask the shop" in scrapped
    assert "edge rounded" in own_desk.client.get(f"/s/{keys[0]}").text
    refused = post(own_desk, f"{address}/pieces", track="9999", set="1")
    assert refused.status_code == 409
    assert "There are not so many pieces" in refused.text


def test_a_number_of_pieces_goes_with_those_that_are_counted_only(own_desk: Desk) -> None:
    number = a_count(own_desk)
    address = f"/desk/segments/{number}"
    post(own_desk, f"{address}/pieces", track="1", set="1")
    (key,) = [piece.key for piece in resolve_mark(own_desk.workshop, number).pieces if piece.key]
    refused = post(own_desk, f"{address}/scrapped", piece=key or "", kind="worn", count="2")
    assert refused.status_code == 422
    assert "is one piece" in refused.text
    post(own_desk, f"{address}/scrapped", piece="set 1", kind="worn")
    pieces = resolve_mark(own_desk.workshop, number).pieces
    assert [(piece.key, piece.count) for piece in pieces if piece.condition == "scrapped"] == [(None, 1)]
    assert "1 piece, not tracked singly" in own_desk.client.get(address).text


def test_strangers_are_not_told_what_happened_to_a_piece(demo_folder: Path, tmp_path: Path) -> None:
    guarded = desk_over(copied(demo_folder, tmp_path / "data"), owner_key=OWNER_KEY)
    piece = a_piece(guarded.workshop)
    scrap_piece(guarded.workshop, piece.key, ScrapRequest(kind="broken", note="jaw of the gripper bent it"))
    shown = words(guarded.client.get(f"/s/{piece.key}"))
    guarded.workshop.database.close()
    assert "On record it is scrapped. Ask the shop." in shown
    assert "gripper" not in shown


def test_a_part_is_shared_and_its_kit_is_not_retired(own_desk: Desk) -> None:
    guest = next(
        kit.number
        for kit in list_kits(own_desk.workshop, after=None, limit=50).kits
        if kit.number.startswith("OSV4-FC1-") and kit.number != KIT
    )
    number = next(
        row.number
        for row in show_kit(own_desk.workshop, KIT).segments
        if row.place not in {other.place for other in show_kit(own_desk.workshop, guest).segments}
    )
    assert post(own_desk, f"/shop/kits/{guest}/shared", number=number).status_code == 303
    refused = post(own_desk, f"/shop/kits/{KIT}/retirement", reason="bottle is gone")
    assert refused.status_code == 409
    assert guest in refused.text
    assert f"Other kits lean on its parts: {guest}." in words(own_desk.client.get(f"/shop/kits/{KIT}"))
    assert post(own_desk, f"/shop/kits/{guest}/unshared", number=number, reason="own one made").status_code == 303
    again = post(own_desk, f"/shop/kits/{guest}/shared", number="nothing like it")
    assert 'value="nothing like it"' in again.text


def test_a_retired_kit_says_so_everywhere_and_asks_why(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    # Those that lean on its parts go first.
    guests = [kit.number for kit in list_kits(own_desk.workshop, after=None, limit=50).kits if kit.number != KIT]
    for one in (*guests, KIT):
        assert post(own_desk, f"/shop/kits/{one}/retirement", reason="bottle is gone").status_code == 303
    kit = own_desk.client.get(f"/shop/kits/{KIT}").text
    assert "bottle is gone" in kit
    assert "Retired on" in kit.partition("Print the plates")[0]
    assert 'name="override"' in kit
    assert "Its kit is retired" in own_desk.client.get(f"/desk/segments/{piece.number}").text
    assert "This kit is retired" in own_desk.client.get(f"/S/{piece.key}").text
    order = {"number": piece.number, "mark": piece.key, "reason": "crushed in a jam"}
    assert post(own_desk, "/desk/reorders", **order).status_code == 409
    assert post(own_desk, "/desk/reorders", **order, override="one last run").status_code == 303
    assert post(own_desk, f"/desk/segments/{piece.number}/nameplate.pdf").status_code == 409
    printed = post(own_desk, f"/desk/segments/{piece.number}/nameplate.pdf", override="one last run")
    assert printed.content.startswith(b"%PDF")
