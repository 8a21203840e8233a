"""Letters large enough to be read, and colours that stand apart, against published figures."""

from __future__ import annotations

import pytest

from service.marks.lettering import least_cap_height_mm
from tests.mark_factory import DPIS, TEMPLATE_NAMES, make_layout


# h = 2 D tan(15'/2), computed independently for 0.5, 1 and 2 m; NUREG-0700 rev. 3, 11.4.1.5-1 rounds it to 0.004 D.
@pytest.mark.parametrize(("distance_mm", "height_mm"), [(500, 2.18), (1000, 4.36), (2000, 8.73)])
def test_the_least_capital_is_that_of_the_published_angle(distance_mm: float, height_mm: float) -> None:
    assert least_cap_height_mm(distance_mm) == pytest.approx(height_mm, abs=0.005)
    assert least_cap_height_mm(distance_mm) == pytest.approx(0.004 * distance_mm, rel=0.1)


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
@pytest.mark.parametrize("dpi", DPIS)
def test_every_text_of_every_template_reaches_it(name: str, dpi: int) -> None:
    for run in make_layout(name, dpi=dpi).texts():
        assert run.cap_height_mm >= least_cap_height_mm(run.reading_distance_mm) - 0.01, run.field
