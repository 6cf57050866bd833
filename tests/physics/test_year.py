"""A year at any base, against published years."""

from __future__ import annotations

import pytest

from ingle.physics.year import degree_days_of_year


def test_set_points_of_a_year_at_cambridge() -> None:
    """MacKay, Sustainable energy - without the hot air, 2008, p. 293: 3188, 2265 and 1748 K·d at 20, 17 and 15 °C.

    From the one at 17 °C the two others follow within 3 %, and so does what turning down saves: 29 % and 45 %.
    """
    local_kd = _local(2265, 17)
    years = [degree_days_of_year(base, local_kd) for base in (20, 17, 15)]
    assert years == pytest.approx([3188, 2265, 1748], rel=0.03)
    assert 1 - years[1] / years[0] == pytest.approx(0.29, abs=0.02)
    assert 1 - years[2] / years[0] == pytest.approx(0.452, abs=0.03)


def _local(wanted_kd: float, base_c: float) -> float:
    """Return the year's total at the usual base that gives so many degree days at another."""
    low, high = 500.0, 6000.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if degree_days_of_year(base_c, middle) > wanted_kd else (middle, high)
    return (low + high) / 2
