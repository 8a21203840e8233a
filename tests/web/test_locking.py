"""What will lock, as the desk sees it: a verdict a revision by both sources, the sets to cut, and the form below."""

from __future__ import annotations

import re

from tests.web.conftest import Desk
from tests.web.parts import number_at


def test_every_revision_has_a_verdict_in_words_and_shape(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    text = desk.client.get(f"/desk/segments/{number}/locking").text
    verdicts = re.findall(r'class="verdict (\w+)"><svg class="sign".*?</svg><strong>([^<]+)</strong>', text, re.DOTALL)
    # B strengthened the dovetail towards SW2-U4; A is what the piece was cut from; - differs in its engraving zone.
    assert verdicts == [("bad", "Collides"), ("good", "Exact"), ("good", "Fits")]
    shapes = re.findall(r'<svg class="sign".*?</svg>', text, re.DOTALL)
    assert len(set(shapes)) == 3


def test_the_spot_of_a_collision_is_pictured(desk: Desk) -> None:
    number, other = number_at(desk.workshop, "SW2-U3"), number_at(desk.workshop, "SW2-U4")
    text = desk.client.get(f"/desk/segments/{number}/locking").text
    assert f'src="/api/segments/{number}/locking/B/{other}.svg"' in text
    assert 'href="#spot-B-SW2-U4"' in text
    assert 'id="spot-B-SW2-U4"' in text


def test_the_fewest_to_cut_name_mass_and_count(desk: Desk) -> None:
    text = desk.client.get(f"/desk/segments/{number_at(desk.workshop, 'SW2-U3')}/locking").text
    assert re.search(r"As it was built: revision A.*?1 <small>segment, 0\.6\d\d kg", text, re.DOTALL)
    assert re.search(r"The newest: revision B.*?2 <small>segments, 1\.\d\d kg", text, re.DOTALL)


def test_a_neighbour_that_broke_too_is_no_survivor(desk: Desk) -> None:
    number, kept = number_at(desk.workshop, "SW2-U3"), number_at(desk.workshop, "SW2-U2")
    text = desk.client.get(
        f"/desk/segments/{number}/locking", params={"survivors_asked": "yes", "survivors": [kept]}
    ).text
    assert "not a survivor" in text
    # Nothing that B collides with is left in the machine.
    assert "Collides" not in text
    form = text[text.index('id="reorder"') :]
    assert re.findall(r'name="survivors" value="([^"]+)" checked', form) == [kept]


def test_a_part_without_joints_has_a_page_too(desk: Desk) -> None:
    answer = desk.client.get(f"/desk/segments/{number_at(desk.workshop, 'BP1-X1')}/locking")
    assert answer.status_code == 200
    assert "Decide and order" in answer.text


def test_a_survivor_that_is_no_neighbour_is_said(desk: Desk) -> None:
    number = number_at(desk.workshop, "SW2-U3")
    answer = desk.client.get(
        f"/desk/segments/{number}/locking",
        params={"survivors_asked": "yes", "survivors": ["<script>alert(1)</script>"]},
    )
    assert 400 <= answer.status_code < 500
    assert 'role="alert"' in answer.text
    assert "<script>alert" not in answer.text
