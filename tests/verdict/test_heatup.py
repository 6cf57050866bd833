"""A few days of strong heating in a room whose truth is known: three stores, not two, and steps of one minute."""

from __future__ import annotations

import numpy as np
import pytest

from ingle.config.house import parse_house
from ingle.model.house import House
from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.heatup import LONGEST_DAYS
from ingle.verdict.series import Columns
from verdict.still import assess_columns

START_S = 1_749_960_000.0  # 2025-06-15 04:00 UTC
HEATER = Source("heater", "cabin-1")
FILE = """
[house]
name = "Cabin"
outdoor_design_c = -5.0

[[zone]]
id = "cabin"
name = "Cabin"
floor_area_m2 = 30.0
height_m = 2.4
given_w_per_k = {design}
thermal_mass = "light"

[[zone.heater]]
id = "cabin-1"
rated_w = 2000
"""
DRAUGHT, INNER, MIDDLE, OUTER = 14.0, 300.0, 90.0, 60.0
TRUE_W_PER_K = DRAUGHT + 1 / (1 / INNER + 1 / MIDDLE + 1 / OUTER)


def cabin(design: float) -> House:
    """Return the house with a design that may be far from the truth."""
    return parse_house(FILE.format(design=design), "cabin.toml")


def driven(seed: int, days: int = 5, watts: float = 1800.0) -> dict[Source, Columns]:
    """Return readings every half hour of a room heated for two days and left to cool."""
    rng = np.random.default_rng(seed)
    air, inside, outside = 22.0, 21.5, 18.0
    rows = []
    used_wh = 0.0
    for minute in range(days * 1440 + 1):
        hour = minute / 60
        sun = max(0.0, 700 * np.sin(np.pi * ((hour + 4) % 24 - 6) / 12))
        out = 16 + 6 * np.sin(2 * np.pi * (hour - 6) / 24) + 1.5 * np.sin(hour / 17)
        power = watts if 20 <= hour < 68 else 0.0
        if minute % 30 == 0:
            rows.append(
                (START_S + minute * 60, round(air + rng.normal(0, 0.05), 2), power, round(used_wh, 1), out, sun)
            )
        used_wh += power / 60
        to_air = power + 0.5 * sun - DRAUGHT * (air - out) - INNER * (air - inside)
        to_inside = INNER * (air - inside) - MIDDLE * (inside - outside)
        to_outside = MIDDLE * (inside - outside) - OUTER * (outside - out) + 0.4 * sun
        air += to_air / 400 / 60
        inside += to_inside / 1500 / 60
        outside += to_outside / 1800 / 60
    t, temp, power_w, energy, outdoors, irradiance = np.array(rows).T
    none = np.zeros(len(t), np.bool_)
    return {
        HEATER: Columns(t_s=t, computed=none, values={"temp_c": temp, "power_w": power_w, "energy_wh": energy}),
        OUTDOOR: Columns(t_s=t, computed=none, values={"temp_c": outdoors, "irradiance_w_per_m2": irradiance}),
    }


@pytest.mark.parametrize("design", [25.0, 45.0, 70.0])
def test_five_days_of_strong_heating_tell_the_loss_whatever_the_design(design: float) -> None:
    """Within 15 %, the truth in an interval of at most half the coefficient."""
    zone = assess_columns(cabin(design), driven(1)).zones[0]
    assert zone.measured_w_per_k == pytest.approx(TRUE_W_PER_K, rel=0.15)
    assert zone.low_w_per_k is not None
    assert zone.high_w_per_k is not None
    assert zone.low_w_per_k < TRUE_W_PER_K < zone.high_w_per_k
    assert zone.high_w_per_k - zone.low_w_per_k < 0.5 * TRUE_W_PER_K


def test_gentle_days_are_left_to_the_daily_balance() -> None:
    """Without a large swing nobody can tell: no verdict, and an interval that does not pretend to know."""
    zone = assess_columns(cabin(45.0), driven(1, watts=250.0)).zones[0]
    assert zone.verdict == "cannot-say-yet"
    assert zone.low_w_per_k is not None
    assert zone.high_w_per_k is not None
    assert zone.low_w_per_k < TRUE_W_PER_K < zone.high_w_per_k
    assert zone.high_w_per_k - zone.low_w_per_k > 0.5 * TRUE_W_PER_K


def test_a_long_record_is_left_to_the_daily_balance() -> None:
    """After ten days weather tells more than one heating did; nothing breaks."""
    zone = assess_columns(cabin(45.0), driven(1, days=LONGEST_DAYS + 4)).zones[0]
    assert zone.verdict in {"cannot-say-yet", "as-designed"}
