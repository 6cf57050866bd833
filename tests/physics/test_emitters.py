"""What a plate means at the voltage that is there."""

from __future__ import annotations

import pytest

from ingle.physics.emitters import current_a, plate_limits_w, power_at_voltage, voltage_for_power_ratio


@pytest.mark.parametrize(
    ("rated_w", "rated_v", "voltage_v", "expected"),
    [(2000, 230, 253, 2420.0), (2000, 230, 216.2, 1767.2), (3000, 240, 230, 2755.2), (2250, 230, 216.2, 1988.1)],
)
def test_power_goes_with_voltage_squared(rated_w: float, rated_v: float, voltage_v: float, expected: float) -> None:
    """P ~ V² for a resistor, over the supply tolerance 230 V +10/-6 %."""
    assert power_at_voltage(rated_w, rated_v, voltage_v) == pytest.approx(expected, abs=0.05)


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
