"""The plan as SVG: every part with its label, one lit, links, small enough for a page, and no text that breaks out."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from shapely.geometry import box

from service.marks.plan import PlanPart
from service.render.plan_svg import plan_svg
from service.rules.colours import contrast_ratio
from tests.part_factory import make_kit, make_plan_part

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '"><script>alert(1)</script>&\'<a href="javascript:alert(2)">'


def parsed(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314  # our own picture, to see that it is well-formed


def rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def lit_elements(root: ET.Element) -> list[ET.Element]:
    return [element for element in root.iter() if element.get("aria-current") == "true"]


def test_a_kit_of_sixty_segments_stays_below_200_kilobytes() -> None:
    kit = make_kit()
    assert len(kit) >= 60
    assert len(plan_svg(kit).encode()) < 200_000


def test_few_points_are_kept_when_few_are_allowed() -> None:
    assert len(plan_svg(make_kit(), max_points=600)) < len(plan_svg(make_kit()))


def test_every_part_carries_its_label_and_its_title() -> None:
    kit = make_kit()
    root = parsed(plan_svg(kit))
    texts = [element.text for element in root.iter(f"{SVG}text")]
    assert all(part.shown_label in texts for part in kit)
    titles = [element.text for element in root.iter(f"{SVG}title")]
    assert all(part.words in titles for part in kit)
    assert "X1 ×40" in texts


def test_a_part_with_an_address_is_a_link_and_the_picture_a_group() -> None:
    root = parsed(plan_svg([make_plan_part(href="/s/K7M4XRAW?a=1&b=2"), make_plan_part(place="SW2-U4")]))
    links = list(root.iter(f"{SVG}a"))
    assert [link.get("href") for link in links] == ["/s/K7M4XRAW?a=1&b=2"]
    assert links[0].get("aria-label")
    assert root.get("role") == "group"


def test_a_picture_without_links_is_one_image_with_a_name() -> None:
    root = parsed(plan_svg([make_plan_part()], title="Plan of OSV4-FC1-A500"))
    assert root.get("role") == "img"
    assert root.get("aria-label") == "Plan of OSV4-FC1-A500, 1 parts"


def test_the_lit_part_is_told_by_more_than_colour() -> None:
    kit = make_kit()
    root = parsed(plan_svg(kit, lit={kit[9].id}))
    (lit,) = lit_elements(root)
    path, text = lit.find(f"{SVG}path"), lit.find(f"{SVG}text")
    assert path is not None
    assert text is not None
    assert float(path.attrib["stroke-width"]) > 3
    assert path.attrib["fill"] == "#007a48"
    assert text.attrib["font-weight"] == "800"
    assert f"{kit[9].label} lit" in root.attrib["aria-label"]


def test_what_is_lit_is_drawn_last_in_its_panel() -> None:
    parts = [make_plan_part(place=f"SW2-U{n}", shape=box(100 * n, 0, 100 * n + 99, 80)) for n in range(1, 5)]
    root = parsed(plan_svg(parts, lit={parts[0].id}))
    panel = root.find(f"{SVG}g")
    assert panel is not None
    assert list(panel)[-1].get("aria-current") == "true"


def test_a_lit_part_that_is_hardly_seen_is_ringed() -> None:
    small = make_plan_part(place="CG1-X1", deck="", assembly="centre guide 1", shape=box(0, 0, 8, 8))
    large = make_plan_part(place="CG1-X2", deck="", assembly="centre guide 1", shape=box(20, 0, 2600, 900))
    assert list(parsed(plan_svg([small, large], lit={small.id})).iter(f"{SVG}circle"))
    assert not list(parsed(plan_svg([small, large], lit={large.id})).iter(f"{SVG}circle"))


@pytest.mark.parametrize("colour", [(255, 255, 255), (0, 0, 0), (0, 122, 72), (255, 210, 0), (30, 60, 160), (128,) * 3])
@pytest.mark.parametrize("lit", [True, False, None])
def test_labels_stand_out_from_what_they_are_written_on(*, colour: tuple[int, int, int], lit: bool | None) -> None:
    part, other = make_plan_part(shape=box(0, 0, 300, 200)), make_plan_part(place="SW2-U4", shape=box(310, 0, 600, 200))
    part = PlanPart(
        id=part.id,
        place=part.place,
        deck=part.deck,
        assembly=part.assembly,
        drawing=part.drawing,
        colour=colour,
        label=part.label,
    )
    chosen = {True: {part.id}, False: {other.id}, None: set[str]()}[lit]
    root = parsed(plan_svg([part, other], lit=chosen))
    group = next(
        element
        for element in root.iter(f"{SVG}g")
        if (title := element.find(f"{SVG}title")) is not None and title.text == part.words
    )
    path, text = group.find(f"{SVG}path"), group.find(f"{SVG}text")
    assert path is not None
    assert text is not None
    # WCAG 2.x level AA for text of ordinary size: 4.5.
    assert contrast_ratio(rgb(path.attrib["fill"]), rgb(text.attrib["fill"])) >= 4.5


def test_hostile_texts_stay_texts() -> None:
    part = make_plan_part(assembly=HOSTILE, deck=HOSTILE, title=HOSTILE, href=HOSTILE, rotation=HOSTILE)
    text = plan_svg([part], title=HOSTILE)
    root = parsed(text)
    assert not list(root.iter(f"{SVG}script"))
    assert "<script" not in text
    assert len(list(root.iter(f"{SVG}a"))) == 1


def test_the_drawn_outlines_lie_inside_the_picture() -> None:
    text = plan_svg(make_kit(), width_px=800)
    root = parsed(text)
    width, height = float(root.attrib["width"]), float(root.attrib["height"])
    for path in root.iter(f"{SVG}path"):
        start = re.match(r"M(-?[\d.]+)[ ,]?(-?[\d.]+)", path.attrib["d"])
        if start is not None and path.get("fill-rule") == "evenodd":
            assert 0 <= float(start[1]) <= width
            assert 0 <= float(start[2]) <= height


def test_labels_of_parts_with_room_lie_on_their_parts() -> None:
    # A ring: the centre is a hole, the label has to go onto the ring.
    ring = box(0, 0, 300, 300).difference(box(60, 60, 240, 240))
    root = parsed(plan_svg([make_plan_part(shape=ring)]))
    label = next(element for element in root.iter(f"{SVG}text") if element.text == "U3")
    assert label.get("stroke") is None


def test_an_empty_plan_is_still_a_picture(tmp_path: Path) -> None:
    (tmp_path / "empty.svg").write_text(plan_svg([]), encoding="utf-8")
    assert parsed((tmp_path / "empty.svg").read_text(encoding="utf-8")).get("role") == "img"


def test_the_text_of_a_plan_depends_on_the_parts_alone() -> None:
    assert plan_svg(make_kit(), lit={make_kit()[3].id}) == plan_svg(make_kit(), lit={make_kit()[3].id})
