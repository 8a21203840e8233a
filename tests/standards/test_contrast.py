"""WCAG contrast ratios against published pairs."""

from __future__ import annotations

import pytest

from service.rules.colours import Rgb, contrast_ratio

# Source: the ratios that W3C's techniques and common contrast tables publish for these pairs, computed again with the
# open-source library coloraide 8.13.1 (`Color('#777').contrast('#fff', method='wcag21')`). That library uses an exact
# D65 luminance, hence the tolerance of 1e-3.
PUBLISHED = [
    ((0, 0, 0), (255, 255, 255), 21.0),
    ((0x77, 0x77, 0x77), (255, 255, 255), 4.478),
    ((0x76, 0x76, 0x76), (255, 255, 255), 4.542),
    ((255, 0, 0), (255, 255, 255), 3.9985),
    ((0, 0, 255), (255, 255, 255), 8.592),
    ((255, 255, 0), (0, 0, 0), 19.556),
    ((0, 255, 0), (255, 255, 255), 1.372),
]


@pytest.mark.parametrize(("one", "other", "ratio"), PUBLISHED)
def test_contrast_ratio(one: Rgb, other: Rgb, ratio: float) -> None:
    assert contrast_ratio(one, other) == pytest.approx(ratio, abs=1e-3)
    assert contrast_ratio(other, one) == contrast_ratio(one, other)
