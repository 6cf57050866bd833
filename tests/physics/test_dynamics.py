"""Warming and cooling of one store, in closed form."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from ingle.physics.dynamics import (
    CAPACITY_KJ_PER_M2K,
    capacity_wh_per_k,
    hours_to_reach,
    reheat_for_warm_up_w,
    settled_c,
    temperature_after,
    time_constant_h,
)

LOSS = 39.57
TAU = time_constant_h(capacity_wh_per_k(12, "medium"), LOSS)


def test_time_constant_of_a_medium_room() -> None:
    """12 m² of medium mass (165 kJ/m²K, ISO 13790:2008 Table 12) behind 39.57 W/K: 13.899 h."""
    assert pytest.approx(13.899, abs=0.002) == TAU


def test_warm_up_with_two_kilowatts() -> None:
    """From 16 to 21 °C at 0 °C outside: 2.173 h, closed form."""
    assert hours_to_reach(16, 21, settled_c(0, 2000, LOSS), TAU) == pytest.approx(2.173, abs=0.001)


def test_cooling_without_heat() -> None:
    """From 21 to 16 °C at 0 °C outside: 3.780 h, closed form."""
    assert hours_to_reach(21, 16, 0, TAU) == pytest.approx(3.780, abs=0.001)


def test_too_little_power_never_arrives() -> None:
    """800 W settle at 20.2 °C; 21 °C is never reached and the answer is None, not a number."""
    end = settled_c(0, 800, LOSS)
    assert end == pytest.approx(20.2, abs=0.02)
    assert hours_to_reach(16, 21, end, TAU) is None


@pytest.mark.parametrize(
    ("start", "wanted", "end", "expected"),
    [(20, 20, 25, 0.0), (20, 21, 20, None), (20, 19, 25, None), (20, 25, 25, None)],
)
def test_edges(start: float, wanted: float, end: float, expected: float | None) -> None:
    """Already there is 0 h; no drive, the wrong way and the limit itself are never."""
    assert hours_to_reach(start, wanted, end, TAU) == expected


def test_capacities_rise_with_the_class() -> None:
    """The five classes of ISO 13790 Table 12 are in order and within the range of buildings."""
    values = list(CAPACITY_KJ_PER_M2K.values())
    assert values == sorted(values)
    assert 50 < values[0] < values[-1] < 400


@given(start=st.floats(-10, 40), end=st.floats(-10, 80), hours=st.floats(0.01, 100), tau=st.floats(1, 200))
def test_time_and_temperature_are_inverse(start: float, end: float, hours: float, tau: float) -> None:
    """The temperature after a time is reached in that time."""
    assume(abs(end - start) > 0.1)
    assume(hours / tau < 10)
    there = temperature_after(start, end, tau, hours)
    found = hours_to_reach(start, there, end, tau)
    assert found == pytest.approx(hours, rel=1e-4, abs=1e-6)


@given(h=st.floats(0.1, 500), c=st.floats(50, 50_000), rise=st.floats(0.5, 15), hours=st.floats(0.25, 24))
def test_reheat_for_a_warm_up_takes_that_long(h: float, c: float, rise: float, hours: float) -> None:
    """Reheat on top of the steady loss reaches the wanted temperature after the wanted hours, by the closed form."""
    extra = reheat_for_warm_up_w(h, c, rise, hours)
    settles = settled_c(0.0, h * 20 + extra, h)
    assume(extra / h > 1e-3)  # below that the end is so flat that its time cannot be told
    assert hours_to_reach(20 - rise, 20, settles, time_constant_h(c, h)) == pytest.approx(hours, rel=1e-6)


def test_reheat_of_a_room_that_loses_nothing() -> None:
    """All of it goes into the store; a room that is warm already needs none; slow enough, none is needed either."""
    assert reheat_for_warm_up_w(0, 550, 5, 2) == pytest.approx(1375)
    assert reheat_for_warm_up_w(-10, 550, 5, 2) == pytest.approx(1375)
    assert reheat_for_warm_up_w(40, 550, 0, 2) == 0
    assert reheat_for_warm_up_w(1e4, 1e-3, 5, 72) == 0
