"""Parts of a plant that bolt on in each other's place: found on record, paged, drawn."""

from __future__ import annotations

import io

import pytest
from ezdxf.document import Drawing

from schemas.pieces import RetirementRequest
from service.errors import BadRequest, PlaceUnknown
from service.work.bolts_on_wrong import bolts_on_wrong, overlay_picture
from service.work.retire import retire_kit
from service.work.show_kit import show_kit
from service.work.workshop import Workshop
from tests.small_kit import issue_small, release, segment

FOUR = ((20.0, 20.0), (110.0, 20.0), (110.0, 60.0), (20.0, 60.0))
OTHER_MACHINE = {"class": "LB", "ordinal": 1}


def plate_dxf(
    holes: tuple[tuple[float, float], ...], *, width_mm: float = 150.0, mirrored: bool = False, cut: float = 0.0
) -> bytes:
    """A plate 90 mm high with holes of 9 mm, a corner cut off by so much, mirrored if so."""
    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = 4
    model = document.modelspace()
    corners = [(0.0, 0.0), (width_mm, 0.0), (width_mm, 90.0 - cut), (width_mm - cut, 90.0), (0.0, 90.0)]
    sign = -1.0 if mirrored else 1.0
    model.add_lwpolyline([(sign * x, y) for x, y in dict.fromkeys(corners)], close=True)
    for x, y in holes:
        model.add_circle((sign * x, y), 4.5)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode()


def issue_plates(workshop: Workshop) -> None:
    """Five plates: one, its copy, one with another edge, its mirror twin, one with other holes."""
    moved = ((20.0, 20.0), (110.0, 20.0), (110.0, 60.0), (20.0, 70.0))
    release(workshop, "OR1-U1", data=plate_dxf(FOUR, cut=20))
    release(workshop, "OR1-U2", data=plate_dxf(FOUR, cut=20))
    release(workshop, "OR2-U1", data=plate_dxf(FOUR, cut=30))
    release(workshop, "OR2-U2", data=plate_dxf(moved, cut=20))
    release(workshop, "OR3-U1", data=plate_dxf(((20.0, 20.0), (95.0, 41.0)), cut=20))
    release(workshop, "OR4-U1", data=plate_dxf(FOUR, cut=20, mirrored=True))
    places = ("OR1-U1", "OR1-U2", "OR2-U1", "OR2-U2", "OR3-U1", "OR4-U1")
    issue_small(
        workshop,
        segments={f"OR{n}": [segment(place) for place in places if place.startswith(f"OR{n}")] for n in range(1, 5)},
    )


def test_pairs_are_found_and_parts_of_one_shape_are_no_mistake(workshop: Workshop) -> None:
    issue_plates(workshop)
    answer = bolts_on_wrong(workshop, "osv", after=None, limit=200)
    found = {(pair.first.place, pair.second.place): pair for pair in answer.pairs}
    # OR1-U1 and OR1-U2 are one shape; OR3-U1 has other holes.
    assert answer.same_shape == 1
    assert not any("OR3-U1" in pair for pair in found)
    assert ("OR1-U1", "OR1-U2") not in found
    assert answer.total == len(answer.pairs)
    assert [pair.rank for pair in answer.pairs] == list(range(1, answer.total + 1))
    other_edge, twin = found["OR1-U1", "OR2-U1"], found["OR1-U1", "OR4-U1"]
    assert other_edge.every_hole
    assert not other_edge.turned_over
    # 10 mm more of a corner cut at 45 degrees: the cut edges lie 10 / root 2 apart.
    assert "where they differ most their edges lie 7.1 mm apart" in other_edge.why
    assert twin.mirror_twin
    assert twin.turned_over
    assert twin.overlap == pytest.approx(1.0, abs=1e-3)


def test_enough_holes_are_enough(workshop: Workshop) -> None:
    issue_plates(workshop)
    answer = bolts_on_wrong(workshop, "OSV", after=None, limit=200)
    pair = next(pair for pair in answer.pairs if {pair.first.place, pair.second.place} == {"OR1-U1", "OR2-U2"})
    assert not pair.every_hole
    assert pair.holes_agree == 3


def test_every_pair_says_how_it_is_kept_apart_or_why_not(workshop: Workshop) -> None:
    issue_plates(workshop)
    for pair in bolts_on_wrong(workshop, "OSV", after=None, limit=200).pairs:
        stops = {hole.stops for hole in pair.odd_holes}
        assert (pair.no_odd_hole is None) == ("both" in stops or len(pair.odd_holes) == 2)
        for hole in pair.odd_holes:
            assert any("deck" in step for step in hole.steps)


def test_pages_follow_each_other(workshop: Workshop) -> None:
    issue_plates(workshop)
    whole = bolts_on_wrong(workshop, "OSV", after=None, limit=200).pairs
    by_two = [
        pair
        for after in range(0, len(whole), 2)
        for pair in bolts_on_wrong(workshop, "OSV", after=after, limit=2).pairs
    ]
    assert tuple(by_two) == whole


def test_the_list_follows_the_records(workshop: Workshop) -> None:
    issue_plates(workshop)
    before = bolts_on_wrong(workshop, "OSV", after=None, limit=200)
    release(workshop, "OR5-U1", data=plate_dxf(FOUR, cut=10))
    kit = issue_small(
        workshop,
        container={"code": "A330", "name": "sport 330 mL", "nominal": 330, "unit": "mL", "diameter_mm": 57.4},
        segments={"OR5": [segment("OR5-U1")]},
    )
    after = bolts_on_wrong(workshop, "OSV", after=None, limit=200)
    assert after.total > before.total
    body = next(pair for pair in after.pairs if pair.second.kit == kit.number and pair.first.place == "OR1-U1")
    assert "made for a body of 57.4 mm, 7.9 mm less than 65.3 mm" in body.why
    retire_kit(workshop, kit.number, RetirementRequest(reason="container delisted"))
    assert bolts_on_wrong(workshop, "OSV", after=None, limit=200).total == before.total


def test_machines_of_other_classes_do_not_meet(workshop: Workshop) -> None:
    issue_plates(workshop)
    before = bolts_on_wrong(workshop, "OSV", after=None, limit=200).total
    release(workshop, "OR6-U1", data=plate_dxf(FOUR, cut=10))
    issue_small(workshop, machine=OTHER_MACHINE, segments={"OR6": [segment("OR6-U1")]})
    assert bolts_on_wrong(workshop, "OSV", after=None, limit=200).total == before


def test_the_overlay_is_drawn_and_refused_where_holes_do_not_agree(workshop: Workshop) -> None:
    issue_plates(workshop)
    pair = bolts_on_wrong(workshop, "OSV", after=None, limit=1).pairs[0]
    words = overlay_picture(workshop, pair.first.number, pair.second.number)
    assert pair.first.number in words
    assert pair.second.number in words
    assert f"{pair.holes_agree} mounting holes agree" in words
    kit = {number.split("-")[3] + "-" + number.split("-")[4]: number for number in numbers(workshop)}
    with pytest.raises(BadRequest, match="mounting holes"):
        overlay_picture(workshop, kit["OR1-U1"], kit["OR3-U1"])


def numbers(workshop: Workshop) -> list[str]:
    return [one.number for one in show_kit(workshop, "OSV4-FC1-A500").segments]


def test_an_unknown_plant_is_said(workshop: Workshop) -> None:
    with pytest.raises(PlaceUnknown):
        bolts_on_wrong(workshop, "XYZ", after=None, limit=1)
