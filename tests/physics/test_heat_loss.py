"""Pieces of the heat load put together to rooms that others have published or computed."""

from __future__ import annotations

import pytest

from ingle.physics.ground import equivalent_u_en12831, slab_u
from ingle.physics.heat_loss import (
    AIR_WH_PER_M3K,
    ground_share,
    reheat_w,
    share_of_difference,
    transmission_w_per_k,
    ventilation_w_per_k,
)

# A room of 4 x 3 x 2.4 m at 21 °C, -3 °C outside: wall, window, door, roof as (net area, U).
OUTSIDE = ((20.2, 0.45), (1.8, 1.6), (2.0, 1.8), (12.0, 0.25))
INSIDE, OUTDOOR, MEAN = 21.0, -3.0, 10.0


def test_room_after_en12831() -> None:
    """Without bridges: 698.79 W through the fabric, 235.01 W with the air (package heaty 2020.10b2)."""
    outside = sum(transmission_w_per_k(area, u) for area, u in OUTSIDE)
    neighbour = transmission_w_per_k(9.6, 1.7, share_of_difference(INSIDE, 18, OUTDOOR))
    floor = transmission_w_per_k(12, equivalent_u_en12831(2.4, 1 / 0.21), ground_share(INSIDE, MEAN, OUTDOOR))
    assert (outside + neighbour + floor) * 24 == pytest.approx(698.79, abs=0.02)
    assert ventilation_w_per_k(AIR_WH_PER_M3K["en12831"], 1.0, 28.8) * 24 == pytest.approx(235.01, abs=0.02)


def test_room_after_en12831_with_bridges_and_reheat() -> None:
    """With ΔU 0.10: H_ie 22.17, H_ia 2.04, H_ig 8.5495 W/K; with 11 W/m² reheat 1153.24 W (heaty 2020.10b2)."""
    outside = sum(transmission_w_per_k(area, u + 0.10) for area, u in OUTSIDE)
    neighbour = transmission_w_per_k(9.6, 1.7, share_of_difference(INSIDE, 18, OUTDOOR))
    floor = transmission_w_per_k(12, equivalent_u_en12831(2.4, 1 / 0.21 + 0.10), ground_share(INSIDE, MEAN, OUTDOOR))
    air = ventilation_w_per_k(AIR_WH_PER_M3K["en12831"], 1.0, 28.8)
    assert outside == pytest.approx(22.17)
    assert neighbour == pytest.approx(2.04)
    assert floor == pytest.approx(8.5495, abs=5e-4)
    load = (outside + neighbour + floor + air) * 24
    assert load == pytest.approx(1021.24, abs=0.02)
    assert load + reheat_w(12, 11) == pytest.approx(1153.24, abs=0.02)


def test_room_fabric_and_air_of_an_independent_package() -> None:
    """Outside elements with the slab at the full difference: 719.54 W; 0.3353 Wh/m³K air 231.78 W (hvacpy 0.4.1)."""
    fabric = sum(transmission_w_per_k(area, u) for area, u in OUTSIDE) + transmission_w_per_k(
        12, slab_u(2.4, 0.615, 1.5)
    )
    assert fabric * 24 == pytest.approx(719.54, abs=0.1)
    assert ventilation_w_per_k(1.2 * 1006 / 3600, 1.0, 28.8) * 24 == pytest.approx(231.78, abs=0.1)


def test_room_of_a_published_homeowner_example() -> None:
    """3.3 x 3 x 2.3 m, 22 K: 15.03 + 17.4 + 20.7 + 9.9 = 63.03 W/K, 1386.7 W (ukhomeowners.com heat loss page).

    The example forgets to take the window off the wall; with the net wall it would be 54.03 W/K.
    """
    air = ventilation_w_per_k(0.33, 2, 3.3 * 3 * 2.3)
    window, floor = transmission_w_per_k(6, 2.9), transmission_w_per_k(9.9, 1)
    published = air + window + transmission_w_per_k(6 * 2.3, 1.5) + floor
    assert published == pytest.approx(63.03, abs=0.01)
    assert published * 22 == pytest.approx(1386.7, abs=0.1)
    assert air + window + transmission_w_per_k(6 * 2.3 - 6, 1.5) + floor == pytest.approx(54.03, abs=0.01)


def test_dining_room_in_imperial_units() -> None:
    """Eight rows of a published dining room (diydata.com calculations page): 3391 BTU/h, 994 W."""
    rows = (
        (72, 40, 0.18),
        (40, 40, 0.51),
        (136, 5, 0.38),
        (238, 5, 0.29),
        (238, 40, 0.12),
        (112, 0, 0.39),
        (112, 5, 0.39),
        (24, 10, 0.39),
    )
    btu_per_h = sum(transmission_w_per_k(area, u) * difference for area, difference, u in rows)
    assert btu_per_h == pytest.approx(3391, abs=3)
    assert btu_per_h * 0.29307 == pytest.approx(994, abs=1)


def test_bedroom_that_gains_from_a_warmer_room() -> None:
    """Bedroom at 18 °C beside rooms at 21 and 18 °C: H_ia -2.772 W/K, 544.30 W in all (heaty 2020.10b2)."""
    outside = sum(transmission_w_per_k(area, u + 0.1) for area, u in ((7.6, 1.5), (1.7, 2.8), (9.8, 0.4)))
    warm = transmission_w_per_k(8.4, 2.2, share_of_difference(18, 21, -2))
    level = transmission_w_per_k(6, 2.2, share_of_difference(18, 18, -2))
    air = ventilation_w_per_k(AIR_WH_PER_M3K["en12831"], 1.0, 23.52)
    assert warm + level == pytest.approx(-2.772)
    assert (outside + warm + level + air) * 20 == pytest.approx(544.30, abs=0.02)


def test_air_constants_are_what_they_say() -> None:
    """0.33 is 1.2 kg/m³ x 1000 J/(kg·K) / 3600, to two figures; EN's 0.34 is 3 % more."""
    assert AIR_WH_PER_M3K["domestic"] == pytest.approx(1.2 * 1000 / 3600, abs=0.005)
    assert AIR_WH_PER_M3K["en12831"] / AIR_WH_PER_M3K["domestic"] == pytest.approx(1.03, abs=0.001)
