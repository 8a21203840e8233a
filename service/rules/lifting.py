"""Cautions for people who handle change parts, and the masses from which they change.

These are the usual cautions of the trade. They defer to the site's procedures and the local law: nothing here allows a
job or judges that it is safe. The lifting equation is that of NIOSH, "Applications Manual for the Revised NIOSH Lifting
Equation", Publication 94-110 (rev. 9/2021, public domain); it holds for standing lifts with both hands.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from service.errors import BadRequest

Coupling = Literal["good", "fair", "poor"]
Work = Literal["changeover", "cutting"]

LOAD_CONSTANT_KG = 23.0
"""What most people may lift under the best conditions: NIOSH 94-110."""
TWO_PERSON_KG = 15.0
"""From here on two people lift: the lowest reference mass of ISO 11228-1:2021 (25, 20 and 15 kg by population), from
memory. No law of the United States sets a limit (OSHA letter of 2013-06-04)."""
LIFTING_AID_KG = 30.0
"""From here on a lifting aid: twice the mass for one person; common practice, no source."""

_VERTICAL_LIMIT_CM = 75.0  # lifts that begin below knuckle height count as low

# Frequency multiplier: lifts a minute, then for up to 1, 2 and 8 hours a pair for low and high lifts. NIOSH 94-110,
# Table 5. Confirmed in public text: 1 h throughout, 2 h up to 3 a minute, .13 at 8 h; the rest from memory.
_FREQUENCY: tuple[tuple[float, tuple[float, float], tuple[float, float], tuple[float, float]], ...] = (
    (0.2, (1.00, 1.00), (0.95, 0.95), (0.85, 0.85)),
    (0.5, (0.97, 0.97), (0.92, 0.92), (0.81, 0.81)),
    (1.0, (0.94, 0.94), (0.88, 0.88), (0.75, 0.75)),
    (2.0, (0.91, 0.91), (0.84, 0.84), (0.65, 0.65)),
    (3.0, (0.88, 0.88), (0.79, 0.79), (0.55, 0.55)),
    (4.0, (0.84, 0.84), (0.72, 0.72), (0.45, 0.45)),
    (5.0, (0.80, 0.80), (0.60, 0.60), (0.35, 0.35)),
    (6.0, (0.75, 0.75), (0.50, 0.50), (0.27, 0.27)),
    (7.0, (0.70, 0.70), (0.42, 0.42), (0.22, 0.22)),
    (8.0, (0.60, 0.60), (0.35, 0.35), (0.18, 0.18)),
    (9.0, (0.52, 0.52), (0.30, 0.30), (0.00, 0.15)),
    (10.0, (0.45, 0.45), (0.26, 0.26), (0.00, 0.13)),
    (11.0, (0.41, 0.41), (0.00, 0.23), (0.00, 0.00)),
    (12.0, (0.37, 0.37), (0.00, 0.21), (0.00, 0.00)),
    (13.0, (0.00, 0.34), (0.00, 0.00), (0.00, 0.00)),
    (14.0, (0.00, 0.31), (0.00, 0.00), (0.00, 0.00)),
    (15.0, (0.00, 0.28), (0.00, 0.00), (0.00, 0.00)),
)
_COUPLING: dict[Coupling, tuple[float, float]] = {"good": (1.0, 1.0), "fair": (0.95, 1.0), "poor": (0.9, 0.9)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """One lift, as the NIOSH equation describes it.

    Attributes:
        reach_cm: horizontal distance of the hands from the middle between the ankles (H).
        height_cm: height of the hands over the floor at the origin (V).
        travel_cm: vertical distance between origin and destination (D).
        twist_deg: angle by which the load lies off straight ahead (A).
        lifts_per_minute: how often (F); in between two rows of the table the more cautious one counts.
        hours: how long this goes on, up to 8.
        coupling: how well the hands hold.
    """

    reach_cm: float
    height_cm: float
    travel_cm: float
    twist_deg: float = 0.0
    lifts_per_minute: float = 0.2
    hours: float = 1.0
    coupling: Coupling = "good"


REACH_INTO_MACHINE = Lift(reach_cm=50, height_cm=100, travel_cm=25, twist_deg=30, coupling="fair")
"""A lift over a guide rail into a machine at table height; common practice, no source."""


def recommended_weight_limit_kg(lift: Lift) -> float:
    """Recommended weight limit in kg: RWL = LC × HM × VM × DM × AM × FM × CM (NIOSH 94-110, section 1.3).

    Raises:
        BadRequest: a value is negative or no number, or the lift goes on for more than 8 hours.
    """
    for field in ("reach_cm", "height_cm", "travel_cm", "twist_deg", "lifts_per_minute", "hours"):
        value = getattr(lift, field)
        if not (math.isfinite(value) and value >= 0):
            raise BadRequest("negative or no number", field=field, value=value, todo="Give the measured value")
    if lift.hours > 8:
        raise BadRequest(
            "the equation holds for up to 8 hours", field="hours", value=lift.hours, todo="Ask who answers for safety"
        )
    horizontal = 0.0 if lift.reach_cm > 63 else min(1.0, 25 / max(lift.reach_cm, 25))
    vertical = 0.0 if lift.height_cm > 175 else 1 - 0.003 * abs(lift.height_cm - 75)
    distance = 0.0 if lift.travel_cm > 175 else 0.82 + 4.5 / max(lift.travel_cm, 25)
    asymmetry = 0.0 if lift.twist_deg > 135 else 1 - 0.0032 * lift.twist_deg
    high = lift.height_cm >= _VERTICAL_LIMIT_CM
    grip = _COUPLING[lift.coupling][high]
    return LOAD_CONSTANT_KG * horizontal * vertical * distance * asymmetry * _frequency(lift, high=high) * grip


def _frequency(lift: Lift, *, high: bool) -> float:
    column = 1 if lift.hours <= 1 else 2 if lift.hours <= 2 else 3
    for row in _FREQUENCY:
        if lift.lifts_per_minute <= row[0]:
            pair = row[column]
            assert isinstance(pair, tuple)
            return pair[high]
    return 0.0


ISOLATE = (
    "Isolate the machine, lock it out and prove that it cannot start or move before hands go in."
    # 29 CFR 1910.147 counts setting up as servicing; ISO 14118 (from memory) is the prevention of unexpected start-up.
)
SWARF = "Wear eye protection, keep hands clear of the cutter, and remove swarf with a brush or suction, never by hand."
FOREIGN_BODIES = (
    "Count screws, tags and tools in and out, and look for chips and broken pieces: none may reach a container."
)
FOOD_CONTACT = "Clean the part and check that its material is approved for contact with the product before it runs."
AUTHORITY = "Follow your site's procedures and local law; this tool does not authorise work."


def cautions(mass_kg: float | None, *, work: Work = "changeover") -> tuple[str, ...]:
    """The cautions for one piece, one sentence each, the reminder of who decides last.

    Args:
        mass_kg: its mass in kg; nothing when it is not on record.
        work: what is being done with it: fitted in a changeover, or cut in the shop.
    """
    first = (ISOLATE,) if work == "changeover" else (SWARF,)
    return (*first, lifting_caution(mass_kg), FOREIGN_BODIES, FOOD_CONTACT, AUTHORITY)


def lifting_caution(mass_kg: float | None) -> str:
    """How a piece of this mass is lifted, in one sentence that names the mass."""
    if mass_kg is None or not (math.isfinite(mass_kg) and mass_kg > 0):
        return "The mass is not on record: weigh or judge it before you lift, and lift with two if in doubt."
    mass = f"{mass_kg:.1f} kg" if mass_kg >= 0.1 else f"{mass_kg * 1000:.0f} g"
    if mass_kg >= LIFTING_AID_KG:
        return f"{mass}: use a lifting aid; do not lift by hand."
    if mass_kg >= TWO_PERSON_KG:
        return f"{mass}: lift with two people, close to the body and without twisting."
    if mass_kg >= recommended_weight_limit_kg(REACH_INTO_MACHINE):
        return f"{mass}: heavy for a reach into the machine; lift with two where you cannot keep it close to the body."
    return f"{mass}: use both hands, keep it close to the body and do not twist."
