"""Sun and light of the simulated weather."""

from __future__ import annotations

from datetime import UTC, datetime
from math import asin, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.demo.sky import Light, Sun, light, on_wall, sun_at
from ingle.demo.weather import Weather

WINTER = datetime(2026, 1, 12, tzinfo=UTC).timestamp()


def test_sun_stands_south_at_noon_and_lower_in_winter() -> None:
    """At local noon the sun bears south; in midwinter at 50.4° north it stands 90 - 50.4 - 23.4 = 16° high."""
    noon = datetime(2026, 12, 21, 12, 0, tzinfo=UTC).timestamp()
    sun = sun_at(noon, 50.4, 0.0)
    assert degrees(asin(sun.sin_height)) == pytest.approx(16.2, abs=0.5)
    assert sun.bearing_deg == pytest.approx(180, abs=3)


def test_sun_is_in_the_east_before_noon() -> None:
    """In the morning the sun bears east of south, in the afternoon west of it."""
    assert sun_at(WINTER + 9 * 3600, 50.4, 0.0).bearing_deg < 170
    assert sun_at(WINTER + 15 * 3600, 50.4, 0.0).bearing_deg > 190


@given(height=st.floats(0.02, 0.9), cloud=st.floats(0, 1), faces=st.floats(0, 359))
def test_light_is_never_negative_and_cloud_dims(height: float, cloud: float, faces: float) -> None:
    """No surface gives light, and a clouded sky is no brighter than a clear one."""
    sun = Sun(height, 200.0)
    sky = light(sun, cloud)
    assert 0 <= sky.diffuse_w_per_m2 <= sky.global_w_per_m2 + 1e-9
    assert sky.global_w_per_m2 <= light(sun, 0.0).global_w_per_m2
    assert on_wall(sun, sky, faces) >= 0


def test_a_wall_turned_away_gets_no_beam() -> None:
    """A north wall gets sky and ground light only."""
    assert on_wall(Sun(0.4, 180.0), Light(300.0, 80.0), 0.0) == pytest.approx(40 + 30)


def test_weather_follows_on_without_a_seam() -> None:
    """The weather is a function of time: asked again, or by another object of the same seed, it answers the same."""
    one, other = Weather(7, 50.4, -5.9), Weather(7, 50.4, -5.9)
    assert one.outdoor_c(WINTER) == other.outdoor_c(WINTER)
    assert abs(one.outdoor_c(WINTER + 60) - one.outdoor_c(WINTER)) < 0.05


@pytest.mark.parametrize("month", [1, 4, 7, 10])
def test_weather_is_worth_heating_against_in_any_month(month: int) -> None:
    """A demo in July must heat too: every month is cold, and its sun no brighter than November's."""
    start = datetime(2026, month, 3, tzinfo=UTC).timestamp()
    weather = Weather(7, 50.4, -5.9)
    hours = [start + 3600 * hour for hour in range(21 * 24)]
    mean = sum(weather.outdoor_c(t) for t in hours) / len(hours)
    assert 2 < mean < 8
    assert max(weather.sun(t)[1].global_w_per_m2 for t in hours) < 420
    assert all(0 < weather.cloud(t) < 1 and weather.wind_m_per_s(t) > 0 for t in hours)
    assert all(222 < weather.voltage_v(t) < 240 for t in hours)
