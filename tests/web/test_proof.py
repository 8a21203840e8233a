"""Proving marks on the page: scan, verdict, what is still open."""

from __future__ import annotations

from tests.web.conftest import Desk
from tests.web.parts import KIT, a_piece


def test_a_right_and_a_wrong_piece_are_told_apart(own_desk: Desk) -> None:
    piece = a_piece(own_desk.workshop)
    address = f"/shop/kits/{KIT}/proof"
    assert "0 right, 0 wrong" in own_desk.client.get(address).text
    wrong = own_desk.client.post(address, data={"plate": piece.key, "engraving": piece.neighbour})
    assert "Wrong: lay this piece aside" in wrong.text
    assert "0 right, 1 wrong" in wrong.text
    right = own_desk.client.post(address, data={"plate": piece.key, "engraving": piece.number, "thickness_mm": "25,1"})
    assert "<strong>Right</strong>" in right.text
    assert "1 right, 0 wrong" in right.text


def test_a_wrong_input_comes_back_with_what_was_typed(own_desk: Desk) -> None:
    address = f"/shop/kits/{KIT}/proof"
    refused = own_desk.client.post(address, data={"plate": "nothing at all?", "material_batch": "PE-2291"})
    assert refused.status_code in (400, 404, 422)
    assert 'value="PE-2291"' in refused.text
    assert 'role="alert"' in refused.text
    thin = own_desk.client.post(address, data={"plate": a_piece(own_desk.workshop).key, "thickness_mm": "thin"})
    assert thin.status_code == 422
    assert 'value="thin"' in thin.text


def test_the_kit_leads_there(own_desk: Desk) -> None:
    assert f'href="/shop/kits/{KIT}/proof"' in own_desk.client.get(f"/shop/kits/{KIT}").text
