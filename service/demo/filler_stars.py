"""The star wheels of the filler-capper, for a container of a given body."""

from __future__ import annotations

from service.demo.joints import Dovetail, Joint, RoundLobe
from service.demo.layout import Wheel
from service.demo.star import EngravingZone, HandSlot, Hub, Rotation, StarWheel

POCKET_CLEARANCE_MM = 1.5
"""A pocket is wider by this than the largest measured body."""

# Keyways by the bore: ISO/R 773, from memory (bore above 75 to 85: 22 × 5.4; above 95 to 110: 28 × 6.4;
# above 130 to 150: 36 × 8.4).
_SMALL_HUB = Hub(bore_mm=80, keyway_width_mm=22, keyway_depth_mm=5.4, seat_mm=124, bolt_circle_mm=104, bolt_mm=9)
_MIDDLE_HUB = Hub(bore_mm=100, keyway_width_mm=28, keyway_depth_mm=6.4, seat_mm=170, bolt_circle_mm=140, bolt_mm=11)
_LARGE_HUB = Hub(bore_mm=150, keyway_width_mm=36, keyway_depth_mm=8.4, seat_mm=250, bolt_circle_mm=205, bolt_mm=11)


def small_star(wheel: Wheel, body_mm: float, rotation: Rotation = "anticlockwise") -> StarWheel:
    """Infeed or exit star, in halves: one lobe on each side of the bore."""
    at = (_SMALL_HUB.seat_mm / 2.0 + wheel.pitch_radius_mm - body_mm / 2.0) / 2.0
    joint = Joint((Dovetail(at, 1, width_mm=26.0, neck_mm=17.0, depth_mm=15.0),))
    return StarWheel(
        pockets=wheel.pockets,
        pitch_mm=wheel.pitch_mm,
        pocket_mm=body_mm + POCKET_CLEARANCE_MM,
        rotation=rotation,
        hub=_SMALL_HUB,
        joints=(joint, joint),
        bolt_keepout_mm=20.0,
    )


def discharge_star(wheel: Wheel, body_mm: float) -> StarWheel:
    """The star after the filler, in quarters: two dovetails at each split, one each way."""
    joint = Joint((Dovetail(107.0, 1), Dovetail(152.0, -1)))
    return StarWheel(
        pockets=wheel.pockets,
        pitch_mm=wheel.pitch_mm,
        pocket_mm=body_mm + POCKET_CLEARANCE_MM,
        rotation="anticlockwise",
        hub=_MIDDLE_HUB,
        joints=(joint,) * 4,
        hand_slot=HandSlot(radius_mm=130.0, width_mm=26.0, sweep_deg=32.0),
        bolt_keepout_mm=22.0,
    )


def capper_star(wheel: Wheel, body_mm: float) -> StarWheel:
    """The star of the capper, in quarters: two round lobes at each split, one each way."""
    joint = Joint((RoundLobe(158.0, 1, width_mm=26.0, neck_mm=15.0), RoundLobe(218.0, -1, width_mm=26.0, neck_mm=15.0)))
    return StarWheel(
        pockets=wheel.pockets,
        pitch_mm=wheel.pitch_mm,
        pocket_mm=body_mm + POCKET_CLEARANCE_MM,
        rotation="clockwise",
        hub=_LARGE_HUB,
        joints=(joint,) * 4,
        hand_slot=HandSlot(radius_mm=188.0, width_mm=30.0, sweep_deg=34.0),
        pocket_keepout_mm=4.0,
    )


DISCHARGE_ZONE = EngravingZone(radius_mm=165.0, width_mm=84.0, height_mm=22.0)
CAPPER_ZONE = EngravingZone(radius_mm=230.0, width_mm=96.0, height_mm=24.0)
SMALL_ZONE = EngravingZone(radius_mm=87.0, width_mm=70.0, height_mm=16.0)
