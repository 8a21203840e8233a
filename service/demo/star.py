"""Star wheels: pockets on a pitch circle, a bore with a keyway, and the split into halves or quarters.

The wheel's centre is the origin and its keyway points to +y. Segment 1 holds the keyway; the others follow in the
direction of rotation seen from above. Splits run through the lands between pockets.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

from service.demo.contour import Contour, Point, bearing, joined, polar
from service.demo.joints import Joint, edge_between
from service.demo.part import Disc, Part
from service.demo.pockets import round_pocket, square_pocket
from service.demo.shapes import angle_of_chord, arc, curved_slot, rectangle, rounded

Rotation = Literal["clockwise", "anticlockwise"]

KEYWAY_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Hub:
    """How a star wheel sits on its shaft, in mm."""

    bore_mm: float
    keyway_width_mm: float
    keyway_depth_mm: float
    seat_mm: float
    bolt_circle_mm: float
    bolt_mm: float
    bolts: int = 8


@dataclass(frozen=True, slots=True)
class HandSlot:
    """A slot in every segment, to lift it by and to save weight: on ``radius_mm``, its ends ``sweep_deg`` apart."""

    radius_mm: float
    width_mm: float
    sweep_deg: float


@dataclass(frozen=True, slots=True)
class EngravingZone:
    """The rectangle in the middle of a segment where the shop wants the engraving, on ``radius_mm``."""

    radius_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class StarWheel:
    """A star wheel on one deck.

    Attributes:
        pockets: how many containers it holds.
        pitch_mm: the distance of two containers along the pitch circle.
        pocket_mm: the diameter or the width of a pocket: the container's largest plus its clearance.
        rotation: seen from above.
        hub: bore, keyway, seat and bolts.
        joints: one for each split, in the direction of rotation; as many as there are segments.
        pocket_corner_mm: the rounding of a square pocket's inner corners; none for round pockets.
        land_corner_mm: the rounding between land and pocket.
        hand_slot: a slot in every segment.
        zone: where the engraving goes.
        bolt_keepout_mm: the diameter kept free round each bolt, 0 for none.
        pocket_keepout_mm: the width kept free along each pocket edge, 0 for none.
    """

    pockets: int
    pitch_mm: float
    pocket_mm: float
    rotation: Rotation
    hub: Hub
    joints: tuple[Joint, ...]
    pocket_corner_mm: float | None = None
    land_corner_mm: float = 6.0
    hand_slot: HandSlot | None = None
    zone: EngravingZone | None = None
    bolt_keepout_mm: float = 0.0
    pocket_keepout_mm: float = 0.0

    def __post_init__(self) -> None:
        if self.pockets % self.pieces:
            raise ValueError(f"{self.pockets} pockets cannot be split evenly into {self.pieces} segments")

    @property
    def pieces(self) -> int:
        """How many segments the wheel is split into."""
        return len(self.joints)

    @property
    def pitch_radius_mm(self) -> float:
        """Half the pitch diameter, which is pockets × pitch / π."""
        return pitch_diameter_mm(self.pockets, self.pitch_mm) / 2.0

    @property
    def tip_radius_mm(self) -> float:
        """The outside radius: the lands lie on the pitch circle, so that a pocket holds half a container."""
        return self.pitch_radius_mm

    def segment(self, ordinal: int) -> Part:
        """One segment of the wheel, counted from 1."""
        step = 360.0 / self.pieces
        turn = 1.0 if self.rotation == "anticlockwise" else -1.0
        middle = KEYWAY_DEG + turn * (ordinal - 1) * step
        ahead, behind = self.joints[ordinal - 1], self.joints[ordinal - 2]
        first, last = (behind, ahead) if turn > 0 else (ahead, behind)
        return Part(
            outline=self._sector(middle - step / 2.0, first, middle + step / 2.0, last),
            holes=self._holes(middle),
            hubs=(Disc((0.0, 0.0), self.hub.seat_mm / 2.0),),
            engraving=self._zones(middle),
            keepouts=self._keepouts(middle, step),
        )

    def whole(self) -> tuple[Contour, Contour]:
        """The rim and the bore of the wheel before it is split, both counter-clockwise."""
        return self._rim(), self._bore()

    def _sector(self, from_deg: float, first: Joint, to_deg: float, last: Joint) -> Contour:
        rim, bore = self.whole()
        reach = self.tip_radius_mm + 10.0
        lower, bore_first, rim_first = edge_between(first.sides((0.0, 0.0), from_deg, reach)[0], bore, rim)
        upper, bore_last, rim_last = edge_between(last.sides((0.0, 0.0), to_deg, reach)[1], bore, rim)
        return joined(
            lower,
            rim.between(rim_first, rim_last),
            upper.reversed(),
            bore.between(bore_first, bore_last).reversed(),
        )

    def _rim(self) -> Contour:
        """Pocket and land in turn, counter-clockwise."""
        tip, pitch, corner = self.tip_radius_mm, self.pitch_radius_mm, self.land_corner_mm
        if self.pocket_corner_mm is None:
            pocket = round_pocket(tip, pitch, self.pocket_mm, corner)
        else:
            pocket = square_pocket(tip, pitch, self.pocket_mm, self.pocket_corner_mm, corner)
        step = 360.0 / self.pockets
        land_from = bearing((0.0, 0.0), pocket.vertices[-1].point)
        land_sweep = step - 2.0 * (land_from - 90.0)
        chains: list[Contour] = []
        for index in range(self.pockets):
            turn = self._first_pocket_deg + index * step - 90.0
            chains += [pocket.turned(turn), arc((0.0, 0.0), tip, land_from + turn, land_sweep)]
        return joined(*chains)

    @property
    def _first_pocket_deg(self) -> float:
        """The first pocket past a split."""
        return KEYWAY_DEG - 180.0 / self.pieces + 180.0 / self.pockets

    def _bore(self) -> Contour:
        hub = self.hub
        radius, half = hub.bore_mm / 2.0, hub.keyway_width_mm / 2.0
        spread, mouth, top = angle_of_chord(radius, half), sqrt(radius**2 - half**2), radius + hub.keyway_depth_mm
        # Tighter than the cutter leaves them: the corners of a keyway are filed out to take the key.
        corners = rounded([(half, mouth), (half, top), (-half, top), (-half, mouth)], 1.0, closed=False)
        return joined(corners, arc((0.0, 0.0), radius, KEYWAY_DEG + spread, 360.0 - 2.0 * spread))

    def _holes(self, middle_deg: float) -> tuple[Contour | Disc, ...]:
        holes: list[Contour | Disc] = [Disc(centre, self.hub.bolt_mm / 2.0) for centre in self._bolts(middle_deg)]
        if self.hand_slot is not None:
            slot = self.hand_slot
            begins = middle_deg - slot.sweep_deg / 2.0
            holes.append(curved_slot((0.0, 0.0), slot.radius_mm, slot.width_mm, begins, slot.sweep_deg))
        return tuple(holes)

    def _bolts(self, middle_deg: float) -> list[Point]:
        count = self.hub.bolts // self.pieces
        step = 360.0 / self.hub.bolts
        return [
            polar(self.hub.bolt_circle_mm / 2.0, middle_deg + (index - (count - 1) / 2.0) * step)
            for index in range(count)
        ]

    def _zones(self, middle_deg: float) -> tuple[Contour, ...]:
        if self.zone is None:
            return ()
        zone = self.zone
        centre = polar(zone.radius_mm, middle_deg)
        return (rectangle(centre, zone.width_mm, zone.height_mm, middle_deg - KEYWAY_DEG),)

    def _keepouts(self, middle_deg: float, step_deg: float) -> tuple[Disc, ...]:
        kept: list[Disc] = []
        if self.bolt_keepout_mm:
            kept += [Disc(centre, self.bolt_keepout_mm / 2.0) for centre in self._bolts(middle_deg)]
        if self.pocket_keepout_mm:
            count = self.pockets // self.pieces
            pocket_step = step_deg / count
            kept += [
                Disc(
                    polar(self.pitch_radius_mm, middle_deg + (index - (count - 1) / 2.0) * pocket_step),
                    self.pocket_mm / 2.0 + self.pocket_keepout_mm,
                )
                for index in range(count)
            ]
        return tuple(kept)


def pitch_diameter_mm(pockets: int, pitch_mm: float) -> float:
    """The diameter of the circle on which ``pockets`` containers stand ``pitch_mm`` apart along the arc."""
    return pockets * pitch_mm / pi
