"""The demonstration shop as a whole: manifests that say what the files are, and revisions that do what they say."""

from __future__ import annotations

import json
from collections import Counter
from itertools import combinations

import pytest
from shapely import Point as Spot

from schemas.manifest import KitManifest, SegmentPart
from service.demo.shop import DemoRevision, DemoShop, demo_shop
from service.numbering.number import KitNumber, Number, Place
from service.outlines.contact import contacts
from service.outlines.drawing import Drawing, read_drawing
from service.outlines.face import face_of
from service.outlines.upright import ANY_DEG, UprightRoom

SHOP = demo_shop()
FILES = {(file.name, file.revision): file for file in SHOP.cut_files}
KITS = {
    f"{kit.plant.code}{kit.line.ordinal}-{kit.machine.machine_class}{kit.machine.ordinal}-{kit.container.code}": kit
    for kit in (KitManifest.model_validate(manifest) for manifest in SHOP.manifests)
}
DRAWINGS: dict[tuple[str, str], Drawing] = {key: read_drawing(file.data, name=file.name) for key, file in FILES.items()}


def segments(kit: str) -> dict[str, SegmentPart]:
    return {
        f"{assembly.code}{assembly.ordinal}-{segment.deck}{segment.ordinal}": segment
        for assembly in KITS[kit].assemblies
        for segment in assembly.segments
    }


def drawn(name: str, revision: str) -> Drawing:
    return DRAWINGS[f"osv4-fc1-a500-{name}.dxf", revision]


def test_every_call_gives_the_same_bytes() -> None:
    assert demo_shop() == SHOP
    assert isinstance(SHOP, DemoShop)


def test_the_manifests_are_json_and_valid() -> None:
    for manifest in SHOP.manifests:
        assert json.loads(json.dumps(manifest)) == manifest
    assert list(KITS) == ["OSV4-FC1-A500", "OSV4-FC1-A330", "OSV2-FL1-C500", "MRG1-LB1-A12"]


def test_the_large_kit_has_every_kind_of_part_on_every_deck() -> None:
    large = segments("OSV4-FC1-A500")
    assert len(large) >= 44
    assert {place[:2] for place in large} == {"SW", "TS", "CG", "OR", "RL", "BP", "DC", "NG"}
    assert {segment.deck for segment in large.values()} == {"L", "U", "K", "X"}
    assert Counter(segment.hand for segment in large.values()).keys() == {None, "LEFT", "RIGHT"}
    assert large["BP1-X1"].quantity == 40
    assert [place for place in large if place.startswith("SW2-U")] == ["SW2-U1", "SW2-U2", "SW2-U3", "SW2-U4"]
    assert [place for place in large if place.startswith("SW1-U")] == ["SW1-U1", "SW1-U2"]


@pytest.mark.parametrize(
    ("kit", "colour", "count"),
    [
        ("OSV4-FC1-A500", "green", 57),
        ("OSV4-FC1-A330", "blue", 11),
        ("OSV2-FL1-C500", "white", 9),
        ("MRG1-LB1-A12", "yellow", 8),
    ],
)
def test_each_kit_has_its_colour_and_its_segments(kit: str, colour: str, count: int) -> None:
    assert KITS[kit].stock_colour == colour
    assert len(segments(kit)) == count


def test_every_code_is_in_the_tables_and_the_known_numbers_come_out() -> None:
    numbers = {
        place: str(Number(KitNumber.parse(kit), Place.parse(place))) for kit in KITS for place in segments(kit)
    } | {
        place: str(Number(KitNumber.parse("OSV4-FC1-A500"), Place.parse(place))) for place in segments("OSV4-FC1-A500")
    }
    assert numbers["SW2-U3"] == "OSV4-FC1-A500-SW2-U3-42"
    assert numbers["SW2-U4"] == "OSV4-FC1-A500-SW2-U4-39"


def test_a_shared_guide_names_a_segment_of_an_earlier_kit_and_nothing_else() -> None:
    shared = {place: segment for place, segment in segments("OSV4-FC1-A330").items() if segment.shares}
    assert list(shared) == ["CG1-L1"]
    number = shared["CG1-L1"].shares
    assert number is not None
    assert str(Number.parse(number)).startswith("OSV4-FC1-A500-CG1-L1-")
    assert shared["CG1-L1"].model_fields_set == {"deck", "ordinal", "shares"}
    assert "CG1-L1" in segments("OSV4-FC1-A500")


def test_every_segment_is_cut_from_a_released_revision_of_a_file_of_its_own() -> None:
    named = [
        (segment.cut_file, segment.revision) for kit in KITS for segment in segments(kit).values() if not segment.shares
    ]
    assert all(key in FILES for key in named)
    assert len({name for name, _ in named}) == len(named)
    assert {name for name, _ in named} == {file.name for file in SHOP.cut_files}
    assert FILES["osv4-fc1-a500-sw2-u3.dxf", "B"].name == segments("OSV4-FC1-A500")["SW2-U3"].cut_file


def test_revisions_come_in_the_order_of_their_letters_and_each_says_why() -> None:
    # ASME Y14.35, from memory: '-' is the initial release, then A, B, C.
    order: dict[str, list[DemoRevision]] = {}
    for file in SHOP.cut_files:
        order.setdefault(file.name, []).append(file)
    for releases in order.values():
        assert [release.revision for release in releases] == ["-", "A", "B"][: len(releases)]
        assert len({release.data for release in releases}) == len(releases)
        assert all(release.note for release in releases)
        assert not releases[0].joints_changed
        assert not releases[0].interfaces_changed
    assert sum(len(releases) > 1 for releases in order.values()) >= 3
    assert sum(len(releases) > 2 for releases in order.values()) >= 3


def test_all_files_declare_their_units_and_one_is_in_inches() -> None:
    assert Counter(drawing.units for drawing in DRAWINGS.values())["in"] == 1
    assert DRAWINGS["mrg1-lb1-a12-ts1-x1.dxf", "-"].units == "in"
    assert DRAWINGS["mrg1-lb1-a12-ts1-x1.dxf", "-"].width_mm == pytest.approx(406.4)
    assert all(file.units is None for file in SHOP.cut_files)


def assemblies_as_built() -> dict[str, dict[str, Drawing]]:
    """The drawings of every deck of every assembly, by place."""
    found: dict[str, dict[str, Drawing]] = {}
    for kit in KITS:
        for place, segment in segments(kit).items():
            if segment.cut_file and segment.revision:
                deck = f"{kit}-{place.rstrip('0123456789')}"
                found.setdefault(deck, {})[place] = DRAWINGS[segment.cut_file, segment.revision]
    return found


@pytest.mark.parametrize("deck", assemblies_as_built().values(), ids=assemblies_as_built().keys())
def test_segments_of_one_deck_of_an_assembly_never_overlap_and_lock_with_the_clearance(
    deck: dict[str, Drawing],
) -> None:
    for first, second in combinations(deck.values(), 2):
        assert first.material.intersection(second.material).area < 0.01
        gap = first.material.distance(second.material)
        assert 0.1 < gap <= 0.151 or gap > 10


def touching(kit: str) -> set[frozenset[str]]:
    return {
        frozenset((contact.a, contact.b))
        for key, parts in assemblies_as_built().items()
        if key.startswith(kit)
        for contact in contacts(parts)
    }


def test_every_declared_joint_is_drawn_and_others_are_left_to_be_found() -> None:
    declared = {frozenset(joint.between) for joint in KITS["OSV4-FC1-A500"].joints}
    found = touching("OSV4-FC1-A500")
    assert declared < found
    assert len(declared) == 9
    assert frozenset(("SW2-U3", "SW2-U4")) in declared
    assert frozenset(("SW3-U4", "SW3-U1")) in found - declared
    assert frozenset(("OR3-L2", "OR3-L3")) in found - declared
    assert not KITS["OSV4-FC1-A330"].joints
    assert len(touching("OSV4-FC1-A330")) == 2 + 4 + 1


def test_the_joint_between_quarters_3_and_4_changed_with_revision_b_of_each() -> None:
    assert FILES["osv4-fc1-a500-sw2-u3.dxf", "B"].joints_changed == ("SW2-U4",)
    assert FILES["osv4-fc1-a500-sw2-u4.dxf", "B"].joints_changed == ("SW2-U3",)
    assert segments("OSV4-FC1-A500")["SW2-U3"].revision == "A"
    assert segments("OSV4-FC1-A500")["SW2-U4"].revision == "A"
    for third in ("-", "A", "B"):
        for fourth in ("-", "A", "B"):
            overlap = drawn("sw2-u3", third).material.intersection(drawn("sw2-u4", fourth).material).area
            fits = (third == "B") == (fourth == "B")
            assert (overlap < 0.01) is fits
        # The other joints of the two quarters are as they were.
        assert drawn("sw2-u3", third).material.intersection(drawn("sw2-u2", "-").material).area < 0.01
        assert drawn("sw2-u4", third).material.intersection(drawn("sw2-u1", "-").material).area < 0.01


@pytest.mark.parametrize(
    ("name", "before", "after"),
    [("sw2-u3", "-", "A"), ("sw2-u4", "-", "A"), ("sw4-u1", "-", "A"), ("cg1-u1", "-", "A")],
)
def test_a_revision_that_changes_nothing_that_matters_cuts_the_same_part(name: str, before: str, after: str) -> None:
    release = FILES[f"osv4-fc1-a500-{name}.dxf", after]
    assert not release.joints_changed
    assert not release.interfaces_changed
    assert drawn(name, before).material.equals(drawn(name, after).material)


@pytest.mark.parametrize(("name", "before", "after"), [("sw4-u1", "A", "B"), ("sw4-u2", "-", "A")])
def test_the_wider_pockets_change_the_pockets_only(name: str, before: str, after: str) -> None:
    release = FILES[f"osv4-fc1-a500-{name}.dxf", after]
    assert release.interfaces_changed == ("pocket",)
    assert not release.joints_changed
    old, new = drawn(name, before).material, drawn(name, after).material
    taken = old.difference(new)
    assert taken.area > 50
    assert new.difference(old).area < 0.5
    # All that went lies along the pockets: outside the circle of their bottoms.
    assert taken.buffer(-0.05).distance(Spot(0, 0)) > 145.5 - 34.5
    other = "sw4-u2" if name == "sw4-u1" else "sw4-u1"
    assert new.intersection(drawn(other, "-").material).area < 0.01


def test_the_wider_centre_hole_changes_the_hub_bore() -> None:
    assert FILES["osv4-fc1-a500-bp1-x1.dxf", "A"].interfaces_changed == ("hub bore",)
    lost = drawn("bp1-x1", "-").area_mm2 - drawn("bp1-x1", "A").area_mm2
    assert lost == pytest.approx(3.14159265 * (11**2 - 10**2), rel=1e-3)


def test_two_containers_of_one_content_are_told_apart_by_their_design_letters() -> None:
    round_one, square_one = KITS["OSV4-FC1-A500"].container, KITS["OSV2-FL1-C500"].container
    assert (round_one.nominal, round_one.unit) == (square_one.nominal, square_one.unit)
    assert (round_one.code, square_one.code) == ("A500", "C500")


def test_every_part_has_room_for_its_engraving() -> None:
    for key, drawing in DRAWINGS.items():
        face = face_of(drawing)
        room = UprightRoom(face.free(face.steps[-1]), None).rectangle(6.0, within_deg=ANY_DEG)
        assert room is not None, key
        assert room.height_mm >= 5, key


def test_a_machine_is_the_same_in_all_its_kits() -> None:
    first, second, *_ = KITS.values()
    assert (first.plant, first.line, first.machine) == (second.plant, second.line, second.machine)


def test_some_files_ask_for_an_engraving_zone_and_some_keep_places_free() -> None:
    assert any(drawing.engraving_zones for drawing in DRAWINGS.values())
    assert any(not drawing.engraving_zones for drawing in DRAWINGS.values())
    assert any(drawing.keepouts for drawing in DRAWINGS.values())
    assert any(drawing.hubs for drawing in DRAWINGS.values())
    for drawing in DRAWINGS.values():
        for zone in drawing.engraving_zones:
            assert drawing.material.contains(zone)
            assert not any(zone.intersects(other) for other in (*drawing.hubs, *drawing.keepouts))
