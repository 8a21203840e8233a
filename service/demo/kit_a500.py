"""The full kit of the filler-capper of line 4 for the tall round 500 mL: two decks, stars in halves and quarters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from service.demo import filler_guides as guides
from service.demo.filler_stars import CAPPER_ZONE, DISCHARGE_ZONE, SMALL_ZONE, capper_star, discharge_star, small_star
from service.demo.joints import Dovetail, Joint
from service.demo.kit import Assembly, DeclaredJoint, Hand, Kit, Release, Segment
from service.demo.layout import FillerCapper
from service.demo.part import Part
from service.demo.plates import bearing_plate, bottle_plate, cap_chute_cheek, screw_blank
from service.demo.scenario import A500, FILLER_CAPPER, LINE_4, OSTREY_VALE
from service.demo.star import StarWheel

BODY_MM = 65.8
"""The largest measured body, the same on both decks."""

NECK_MM = 33.0
"""The neck under its ring."""

LOWER_MM, UPPER_MM = 20.0, 25.0
"""The sheet of the lower and of the upper deck."""


def kit_a500() -> Kit:
    """The kit OSV4-FC1-A500."""
    machine = FillerCapper.of_line_4()
    return Kit(
        plant=OSTREY_VALE,
        line=LINE_4,
        machine=FILLER_CAPPER,
        container=A500,
        stock_colour="green",
        assemblies=(*_stars(machine), *_guides(machine), *_small_parts(machine)),
        joints=tuple(_declared()),
    )


def star_segments(deck: str, thickness_mm: float, wheel: StarWheel) -> tuple[Segment, ...]:
    """All segments of a star wheel on one deck."""
    return tuple(Segment(deck, ordinal, wheel.segment(ordinal), thickness_mm) for ordinal in range(1, wheel.pieces + 1))


def _stars(machine: FillerCapper) -> Iterable[Assembly]:
    infeed = small_star(machine.infeed, BODY_MM)
    yield Assembly("SW", 1, "infeed star wheel", _both_decks(infeed, replace(infeed, zone=SMALL_ZONE)))
    discharge = discharge_star(machine.discharge, BODY_MM)
    upper = replace(discharge, zone=DISCHARGE_ZONE)
    yield Assembly("SW", 2, "discharge star wheel", _with_new_joint(_both_decks(discharge, upper), upper))
    capper = capper_star(machine.capper, BODY_MM)
    yield Assembly("SW", 3, "capper star wheel", _both_decks(capper, replace(capper, zone=CAPPER_ZONE)))
    leaving = small_star(machine.exit, BODY_MM)
    upper = replace(leaving, zone=SMALL_ZONE)
    yield Assembly("SW", 4, "exit star wheel", _with_wider_pockets(_both_decks(leaving, upper), upper))


def _both_decks(lower: StarWheel, upper: StarWheel) -> tuple[Segment, ...]:
    return star_segments("L", LOWER_MM, lower) + star_segments("U", UPPER_MM, upper)


def _with_new_joint(segments: tuple[Segment, ...], wheel: StarWheel) -> tuple[Segment, ...]:
    """Quarters 3 and 4 of the upper deck, whose joint got stronger dovetails: quarter 3 first, quarter 4 after it."""
    moved = replace(wheel, zone=replace(DISCHARGE_ZONE, width_mm=76.0))
    kept_free = replace(wheel, bolt_keepout_mm=26.0)
    strong = Joint((Dovetail(107.0, 1, width_mm=32.0, neck_mm=22.0), Dovetail(152.0, -1, width_mm=32.0, neck_mm=22.0)))
    joints = (*wheel.joints[:2], strong, wheel.joints[3])
    third = (
        Release("A", moved.segment(3), "engraving zone shortened, nothing else"),
        Release(
            "B",
            replace(moved, joints=joints).segment(3),
            "stronger dovetails towards SW2-U4 after a neck cracked",
            joints_changed=("SW2-U4",),
        ),
    )
    fourth = (
        Release("A", kept_free.segment(4), "room for larger washers kept free of engraving"),
        Release(
            "B",
            replace(kept_free, joints=joints).segment(4),
            "follows SW2-U3 revision B: stronger dovetails",
            joints_changed=("SW2-U3",),
        ),
    )
    return _revised(_revised(segments, "U", 3, third, "A"), "U", 4, fourth, "A")


def _with_wider_pockets(segments: tuple[Segment, ...], wheel: StarWheel) -> tuple[Segment, ...]:
    """The halves of the upper deck, whose pockets were widened by 0.8 mm."""
    shorter = replace(wheel, zone=replace(SMALL_ZONE, width_mm=62.0))
    wider_mm = wheel.pocket_mm + 0.8
    note = "pockets 0.8 mm wider: labels scuffed"
    first = (
        Release("A", shorter.segment(1), "engraving zone shortened, nothing else"),
        Release("B", replace(shorter, pocket_mm=wider_mm).segment(1), note, interfaces_changed=("pocket",)),
    )
    second = (Release("A", replace(wheel, pocket_mm=wider_mm).segment(2), note, interfaces_changed=("pocket",)),)
    return _revised(_revised(segments, "U", 1, first, "A"), "U", 2, second, "-")


def _revised(
    segments: tuple[Segment, ...], deck: str, ordinal: int, later: tuple[Release, ...], as_built: str
) -> tuple[Segment, ...]:
    return tuple(
        replace(segment, later=later, as_built=as_built)
        if (segment.deck, segment.ordinal) == (deck, ordinal)
        else segment
        for segment in segments
    )


def _guides(machine: FillerCapper) -> Iterable[Assembly]:
    yield Assembly("CG", 1, "centre guide, infeed", _centre_guide_1(machine))
    second, third = guides.centre_guide_2(machine, BODY_MM), guides.centre_guide_3(machine, BODY_MM)
    yield Assembly("CG", 2, "centre guide, capper", _on_both_decks((second,)))
    yield Assembly(
        "CG",
        3,
        "centre guide, exit",
        tuple(replace(segment, entities="lines and arcs") for segment in _on_both_decks((third,))),
    )
    infeed = guides.infeed_outer_guides(machine, BODY_MM)
    yield Assembly("OR", 1, "outer guide, infeed", _on_both_decks(infeed, ("RIGHT", "RIGHT", "LEFT")))
    discharge = guides.discharge_outer_guides(machine, BODY_MM)
    yield Assembly("OR", 2, "outer guide, star 2", _on_both_decks(discharge, ("RIGHT", "RIGHT")))
    capper = guides.capper_outer_guides(machine, BODY_MM)
    yield Assembly("OR", 3, "outer guide, capper", _on_both_decks(capper, ("LEFT", "LEFT", "LEFT")))
    for ordinal, name, length_mm in ((1, "rails, infeed", 560.0), (2, "rails, exit", 740.0)):
        left, right = guides.rails(length_mm, BODY_MM)
        yield Assembly(
            "RL",
            ordinal,
            name,
            (
                Segment("U", 1, left, LOWER_MM, hand="LEFT", entities="lines and arcs"),
                Segment("U", 2, right, LOWER_MM, hand="RIGHT", entities="lines and arcs"),
            ),
        )
    neck = guides.neck_guides(machine, NECK_MM)
    yield Assembly(
        "NG",
        1,
        "neck guide, capper",
        tuple(Segment("K", ordinal, part, 12.0, hand="LEFT") for ordinal, part in enumerate(neck, start=1)),
    )


def _centre_guide_1(machine: FillerCapper) -> tuple[Segment, ...]:
    """In one piece below; in two above, where it must be threaded past the columns."""
    first, second = guides.centre_guide_1_split(machine, BODY_MM)
    marked = replace(first, engraving=(guides.centre_guide_1_zone(machine),))
    later = (Release("A", marked, "engraving zone added, nothing else"),)
    return (
        Segment("L", 1, guides.centre_guide_1(machine, BODY_MM), LOWER_MM),
        Segment("U", 1, first, UPPER_MM, later=later),
        Segment("U", 2, second, UPPER_MM),
    )


def _on_both_decks(parts: tuple[Part, ...], hands: tuple[Hand, ...] | None = None) -> tuple[Segment, ...]:
    """The same guide on the lower and on the upper deck: the container is as wide on both."""
    return tuple(
        Segment(deck, ordinal, part, thickness_mm, hand=hands[ordinal - 1] if hands else None)
        for deck, thickness_mm in (("L", LOWER_MM), ("U", UPPER_MM))
        for ordinal, part in enumerate(parts, start=1)
    )


def _small_parts(machine: FillerCapper) -> Iterable[Assembly]:
    yield Assembly(
        "TS",
        1,
        "timing screw, infeed",
        (
            Segment("X", 1, screw_blank(520.0, 90.0), 90.0),
            Segment("X", 2, bearing_plate(150.0, 140.0, 47.0).moved(-95.0, -75.0), 20.0, quantity=2),
        ),
    )
    plates = machine.carousel.pockets
    plate = bottle_plate(108.0)
    thinner = bottle_plate(108.0, centre_hole_mm=22.0)
    yield Assembly(
        "BP",
        1,
        "bottle plate",
        (
            Segment(
                "X",
                1,
                plate,
                15.0,
                material="POM-C",
                quantity=plates,
                later=(Release("A", thinner, "centre hole 2 mm wider", interfaces_changed=("hub bore",)),),
            ),
        ),
    )
    yield Assembly("DC", 1, "cap chute", (Segment("X", 1, cap_chute_cheek(430.0, 150.0, 64.0), 10.0, quantity=2),))


def _declared() -> Iterable[DeclaredJoint]:
    for deck in ("L", "U"):
        for ordinal in range(1, 5):
            places = (f"SW2-{deck}{ordinal}", f"SW2-{deck}{ordinal % 4 + 1}")
            yield DeclaredJoint(places, "dovetail", 0.15)
    yield DeclaredJoint(("CG1-U1", "CG1-U2"), "dovetail", 0.15)
