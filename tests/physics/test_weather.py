"""Degree days against published rules and sums."""

from __future__ import annotations

from math import pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.weather import degree_days_of_day, degree_days_of_month, heating_kwh


@pytest.mark.parametrize(
    ("highest", "lowest", "expected"),
    [(10, 4, 8.5), (15.5, 5, 5.25), (18, 8, 3.125), (22, 12, 0.875), (25, 16, 0)],
)
def test_day_follows_the_four_cases(highest: float, lowest: float, expected: float) -> None:
    """The Met Office rules, base 15.5 °C (CIBSE TM41)."""
    assert degree_days_of_day(highest, lowest) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("highest", "lowest", "expected"),
    [(10, 4, 8.5), (15.5, 5, 5.25), (18, 8, 3.045), (22, 12, 0.914), (25, 16, 0)],
)
def test_the_four_cases_are_near_a_day_that_follows_a_sine(highest: float, lowest: float, expected: float) -> None:
    """What a sine between the extremes has below 15.5 °C, added up in small steps, is within 0.1 K·d of the rules."""
    steps = 20_000
    mean, swing = (highest + lowest) / 2, (highest - lowest) / 2
    below = sum(max(0.0, 15.5 - mean - swing * sin(2 * pi * step / steps)) for step in range(steps)) / steps
    assert below == pytest.approx(expected, abs=0.001)
    assert degree_days_of_day(highest, lowest) == pytest.approx(below, abs=0.1)


@pytest.mark.parametrize(("days", "mean", "expected"), [(31, 4.4, 344.23), (30, 10.8, 146.20), (30, 15.5, 42.25)])
def test_month_follows_hitchin(days: int, mean: float, expected: float) -> None:
    """Hitchin's formula with k = 0.71, its limit at the base included (CIBSE TM41)."""
    assert degree_days_of_month(days, mean) == pytest.approx(expected, abs=0.005)


def test_a_year_of_degree_days_is_energy() -> None:
    """190 W/K over the standard United Kingdom year to base 15.5 °C, its twelve months summed."""
    year = sum([395, 342, 297, 233, 151, 77, 42, 45, 83, 177, 275, 346])
    assert year == 2463
    assert heating_kwh(190, year) == pytest.approx(11_231.28, abs=0.01)


@given(st.floats(-60, 60), st.floats(0, 40), st.floats(0, 30))
def test_a_colder_day_never_has_fewer(lowest: float, swing: float, colder: float) -> None:
    """Degree days fall as the day warms, and are never negative."""
    cold = degree_days_of_day(lowest - colder + swing, lowest - colder)
    assert cold >= degree_days_of_day(lowest + swing, lowest) - 1e-9
    assert cold >= 0


@given(st.floats(-60, 60), st.floats(0, 20))
def test_a_colder_month_never_has_fewer(mean: float, colder: float) -> None:
    """Hitchin's months fall with their mean and tend to 0."""
    assert degree_days_of_month(30, mean - colder) >= degree_days_of_month(30, mean) - 1e-6
    assert degree_days_of_month(30, 5000) == 0
