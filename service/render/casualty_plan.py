"""The plan of a kit shaded by how often its parts break, with the figure on every part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.marks.plan import PlanPart
from service.render.plan_svg import Rgb, plan_svg

STEPS: tuple[tuple[float, Rgb], ...] = (
    (0.5, (255, 250, 240)),
    (1.0, (250, 222, 190)),
    (2.0, (240, 170, 125)),
    (4.0, (205, 95, 75)),
)
"""Up to so many times the mean of the kit, and the shade for it; each is darker than the one before."""
DARKEST: Rgb = (110, 20, 40)
"""Above the last step."""


def casualty_plan(
    parts: Sequence[PlanPart], *, rates: Mapping[str, float], mean: float, width_px: float, title: str
) -> str:
    """Draw the plan.

    Args:
        parts: the segments in assembly order.
        rates: broken pieces a year and piece, by the number of the segment.
        mean: what the shades are measured by.
        width_px: width of the picture.
        title: what the picture is called.
    """
    shaded = [
        replace(part, colour=shade(rates[part.id], mean), label=f"{part.label} {rates[part.id]:.2f}", quantity=1)
        for part in parts
    ]
    return plan_svg(shaded, width_px=width_px, title=title, strength=1.0, key=_key(mean) if parts else ())


def shade(rate: float, mean: float) -> Rgb:
    """The shade of a rate; the middle one where everything is alike."""
    for upto, colour in STEPS:
        if rate <= upto * mean:
            return colour
    return DARKEST


def _key(mean: float) -> tuple[tuple[Rgb, str], ...]:
    rows = [(STEPS[0][1], f"up to {STEPS[0][0] * mean:.2f} broken a year and piece")]
    rows += [(colour, f"up to {upto * mean:.2f}") for upto, colour in STEPS[1:]]
    return (*rows, (DARKEST, f"more than {STEPS[-1][0] * mean:.2f}"))
