"""What a plate means at the voltage that is there."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.diversity import guest_house_a, household_a
from ingle.physics.emitters import (
    current_a,
    duty,
    heaters_needed,
    nominal_voltage_v,
    output_w,
    plate_limits_w,
    power_at_voltage,
    standing_kwh_per_year,
    switchings_per_h,
    voltage_for_power_ratio,
)


@pytest.mark.parametrize(
    ("rated_w", "rated_v", "voltage_v", "expected"),
    [(2000, 230, 253, 2420.0), (2000, 230, 216.2, 1767.2), (3000, 240, 230, 2755.2), (2250, 230, 216.2, 1988.1)],
)
def test_power_goes_with_voltage_squared(rated_w: float, rated_v: float, voltage_v: float, expected: float) -> None:
    """P ~ V² for a resistor, over the supply tolerance 230 V +10/-6 %."""
    assert power_at_voltage(rated_w, rated_v, voltage_v) == pytest.approx(expected, abs=0.05)


def test_a_meter_may_show_more_than_the_plate() -> None:
    """An hour at 245 V draws 13 % more than a plate for 230 V promises: the voltage, not a fault."""
    assert power_at_voltage(2000, 230, 245) / 2000 == pytest.approx(1.13, abs=0.005)


def test_current_of_a_heater() -> None:
    """2 kW at 230 V draws 8.696 A; a plate of 3 kW draws 13.04 A."""
    assert current_a(2000, 230) == pytest.approx(8.696, abs=0.0005)
    assert current_a(3000, 230) == pytest.approx(13.04, abs=0.005)


def test_voltage_that_gives_five_percent_more() -> None:
    """The plate's +5 % is reached at 1.0247 times its voltage."""
    assert voltage_for_power_ratio(1.05) == pytest.approx(1.0247, abs=0.0001)


@pytest.mark.parametrize(
    ("rated", "low", "high"), [(20, 0, 24), (100, 90, 110), (350, 315, 370), (1000, 900, 1050), (2000, 1800, 2100)]
)
def test_plate_tolerance(rated: float, low: float, high: float) -> None:
    """IEC 60335-1 Table 1 for heating appliances (from memory)."""
    assert plate_limits_w(rated) == pytest.approx((low, high))


def test_output_is_not_claimed_for_ptc() -> None:
    """At its own voltage a PTC heater gives its plate; at any other nobody can say."""
    assert output_w(1500, 230, 230, "ptc") == 1500
    assert output_w(1500, 230, 216.2, "ptc") is None


@pytest.mark.parametrize(
    ("voltage_v", "nominal_v"), [(216.2, 230), (253, 230), (240, 230), (110, 120), (380, 400), (300, 300)]
)
def test_nominal_voltages(voltage_v: float, nominal_v: float) -> None:
    """IEC 60038 (from memory): what lies within 10 % of 120, 230 or 400 V belongs to it."""
    assert nominal_voltage_v(voltage_v) == nominal_v


def test_duty_of_two_kilowatts() -> None:
    """28 W/K over 12 K are 336 W, 16.8 % of 2 kW."""
    assert duty(336, 2000) == pytest.approx(0.168)


def test_what_never_turns_off_does_not_switch() -> None:
    """Full load, overload and no load at all: no switching, no division by zero."""
    assert [switchings_per_h(1000, loss_w, 40, 0.5) for loss_w in (1000, 1200, 0)] == [0, 0, 0]
    assert switchings_per_h(1000, 500, 40, 0.5) == pytest.approx(500 * 500 / (0.5 * 40 * 1000))


@given(st.floats(1, 50_000), st.floats(1, 5_000))
def test_as_many_as_meet_the_load_and_not_one_more(load_w: float, each_w: float) -> None:
    """The count meets the load; one fewer does not."""
    count = heaters_needed(load_w, each_w)
    assert count * each_w >= load_w * (1 - 1e-6)
    assert count == 1 or (count - 1) * each_w < load_w


@pytest.mark.parametrize(("connected_a", "expected_a"), [(8.7, 8.7), (20, 15), (33, 21.5), (0, 0)])
def test_household_custom(connected_a: float, expected_a: float) -> None:
    """Installers' handbook, heating and power in dwellings: 10 A and half of the rest."""
    assert household_a(connected_a) == pytest.approx(expected_a)


def test_guest_house_custom() -> None:
    """Installers' handbook, small hotels and guest houses: 100 %, 80 %, then 60 %, the largest first."""
    assert guest_house_a([2.0, 10.0, 5.0]) == pytest.approx(10 + 4 + 1.2)
    assert guest_house_a([]) == 0


def test_standing_loss() -> None:
    """18 x 3 W over 8760 h: 473 kWh."""
    assert standing_kwh_per_year(54) == pytest.approx(473.04)
