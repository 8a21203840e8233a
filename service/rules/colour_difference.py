"""How different two colours look: CIEDE2000, from 8-bit sRGB by way of CIELAB under D65."""

from __future__ import annotations

import math
from functools import cache

from service.rules.colours import Rgb

Lab = tuple[float, float, float]

# IEC 61966-2-1: linear sRGB to CIE XYZ, and its white, D65 of the 2 degree observer.
_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_WHITE = tuple(sum(row) for row in _TO_XYZ)
_BEND = (6 / 29) ** 3


@cache
def lab_of(rgb: Rgb) -> Lab:
    """CIELAB of an 8-bit sRGB colour.

    Source: IEC 61966-2-1 (sRGB to XYZ), CIE 15 (XYZ to L*a*b*).
    """
    red, green, blue = (_linear(channel / 255) for channel in rgb)
    x, y, z = (
        _root((row[0] * red + row[1] * green + row[2] * blue) / white)
        for row, white in zip(_TO_XYZ, _WHITE, strict=True)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _linear(value: float) -> float:
    return value / 12.92 if value <= 0.04045 else math.pow((value + 0.055) / 1.055, 2.4)


def _root(value: float) -> float:
    return math.cbrt(value) if value > _BEND else value / (3 * (6 / 29) ** 2) + 4 / 29


def ciede2000(one: Lab, other: Lab) -> float:
    """The difference of two CIELAB colours; about 2 is just seen side by side, 10 at a glance.

    Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", 2005, equations 2 to 22, with
    kL = kC = kH = 1. Their numbers stand at the lines.
    """
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean_c = (math.hypot(a1, b1) + math.hypot(a2, b2)) / 2
    g = (1 - math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7))) / 2  # 4
    c1, h1 = _polar((1 + g) * a1, b1)  # 5 to 7
    c2, h2 = _polar((1 + g) * a2, b2)
    grey = c1 * c2 == 0
    turn = 0.0 if grey else (h2 - h1 + 180) % 360 - 180  # 10; half a turn has no sign that matters
    delta_h = 2 * math.sqrt(c1 * c2) * math.sin(math.radians(turn / 2))  # 11
    mean_l, mean_c = (l1 + l2) / 2, (c1 + c2) / 2  # 12, 13
    if grey:
        mean_h = h1 + h2  # 14
    elif abs(h1 - h2) <= 180:
        mean_h = (h1 + h2) / 2
    else:
        mean_h = (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2
    t = (
        1
        - 0.17 * _cos(mean_h - 30)
        + 0.24 * _cos(2 * mean_h)
        + 0.32 * _cos(3 * mean_h + 6)
        - 0.20 * _cos(4 * mean_h - 63)
    )  # 15
    s_l = 1 + 0.015 * (mean_l - 50) ** 2 / math.sqrt(20 + (mean_l - 50) ** 2)  # 18
    s_c, s_h = 1 + 0.045 * mean_c, 1 + 0.015 * mean_c * t  # 19, 20
    bent = 30 * math.exp(-(((mean_h - 275) / 25) ** 2))  # 16
    r_t = -math.sin(math.radians(2 * bent)) * 2 * math.sqrt(mean_c**7 / (mean_c**7 + 25.0**7))  # 17, 21
    light, chroma, hue = (l2 - l1) / s_l, (c2 - c1) / s_c, delta_h / s_h
    return math.sqrt(max(light**2 + chroma**2 + hue**2 + r_t * chroma * hue, 0.0))  # 22


def _polar(a: float, b: float) -> tuple[float, float]:
    """Chroma, and hue in degrees from 0 to 360; 0 for a grey."""
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360 if a or b else 0.0


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))
