"""Sun and clear sky against numbers that another library gave."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.sun import clear_sky, cloud_factor, daily_outside_air, on_surface, sun_at

# Computed once with pvlib 0.16.1 (BSD-3): solar position with refraction, Ineichen clear sky at Linke 3.0 and sea
# level on Spencer's extraterrestrial irradiance, isotropic sky on a wall facing south with ground reflectance 0.2.
# latitude, longitude, instant, elevation, azimuth, global, direct normal, diffuse, south wall
REFERENCE = [
    (51.5, -0.1, "2026-01-15T09:00+00:00", 6.516, 136.252, 53.5, 265.6, 23.4, 207.7),
    (51.5, -0.1, "2026-01-15T12:00+00:00", 17.45, 177.606, 250.6, 644.8, 57.3, 668.3),
    (50.4, -5.9, "2026-03-20T08:30+00:00", 18.391, 113.814, 262.0, 647.1, 57.8, 303.0),
    (50.4, -5.9, "2026-06-21T19:30+00:00", 8.384, 297.043, 78.0, 334.9, 29.2, 22.4),
    (60.15, 24.9, "2026-12-21T10:00+00:00", 6.459, 175.749, 52.7, 262.5, 23.1, 277.0),
    (40.4, -3.7, "2026-07-10T12:00+00:00", 71.302, 165.272, 960.6, 903.2, 105.1, 428.6),
    (-33.9, 18.4, "2026-07-10T10:00+00:00", 32.582, 14.249, 497.8, 782.5, 76.5, 88.0),
    (60.15, 24.9, "2026-05-05T02:30+00:00", 1.86, 59.04, 3.6, 29.2, 2.7, 1.7),
]


@pytest.mark.parametrize("row", REFERENCE, ids=lambda row: f"{row[0]}N {row[2]}")
def test_position_and_sky_agree_with_another_library(
    row: tuple[float, float, str, float, float, float, float, float, float],
) -> None:
    """Elevation and azimuth within 0.03°, irradiance within 2 W/m² or 1 %."""
    latitude, longitude, instant, elevation, azimuth, level, direct, diffuse, wall = row
    when = datetime.fromisoformat(instant)
    sun = sun_at(when, latitude, longitude)
    assert sun.elevation_deg == pytest.approx(elevation, abs=0.03)
    assert sun.azimuth_deg == pytest.approx(azimuth, abs=0.03)
    sky = clear_sky(sun.elevation_deg, when.timetuple().tm_yday)
    assert sky == pytest.approx((level, direct, diffuse), rel=0.01, abs=2)
    assert on_surface(sky, sun, 90, 180) == pytest.approx(wall, rel=0.01, abs=2)


@given(st.floats(-90, 90), st.floats(-180, 180), st.integers(0, 4_000_000_000))
def test_the_sun_is_always_somewhere(latitude: float, longitude: float, second: int) -> None:
    """Every place and instant has a direction, and no irradiance is negative or above the solar constant's."""
    when = datetime.fromtimestamp(second, UTC)
    sun = sun_at(when, latitude, longitude)
    assert -90.6 <= sun.elevation_deg <= 91
    assert 0 <= sun.azimuth_deg <= 360
    sky = clear_sky(sun.elevation_deg, when.timetuple().tm_yday)
    assert all(0 <= part <= 1420 for part in sky)
    assert 0 <= on_surface(sky, sun, 90, 180) <= 1700


@given(st.floats(-90, 90), st.integers(1, 366))
def test_polar_day_and_night_have_a_mean(latitude: float, day: int) -> None:
    """The daily mean outside the air is 0 in polar night and never above half the solar constant."""
    assert 0 <= daily_outside_air(latitude, day) <= 700


def test_high_places_get_more_sun() -> None:
    """Thinner air lets more through."""
    assert clear_sky(40, 100, altitude_m=1500).direct_w_per_m2 > clear_sky(40, 100).direct_w_per_m2


def test_a_day_without_swing_has_no_sun() -> None:
    """The guess from the daily range starts at nothing and ends at a clear sky."""
    assert cloud_factor(0) == 0
    assert cloud_factor(100) == 1
    assert cloud_factor(-1) == 0
