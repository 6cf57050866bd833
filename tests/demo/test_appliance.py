"""A simulated heater obeys, counts and is made of wire."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.demo.appliance import Appliance


def heater(*, modulating: bool = False, share: float = 1.0, bias_k: float = 0.0) -> Appliance:
    """Return a 1000 W heater that holds 20 °C."""
    made = Appliance("h", 0, plate_w=1000.0, share=share, modulating=modulating, bias_k=bias_k)
    made.obey(setpoint_c=20.0, limit_w=1000.0, locked=False, fallback_c=7.0)
    return made


def run(appliance: Appliance, air_c: float, *, t_s: float = 0.0, voltage_v: float = 230.0) -> float:
    """Let it heat for a minute."""
    return appliance.run(60.0, t_s=t_s, air_c=air_c, voltage_v=voltage_v)


def test_power_follows_the_square_of_the_voltage() -> None:
    """At 216 V a plate of 1000 W at 230 V gives 882 W."""
    assert run(heater(), 15.0, voltage_v=216.0) == pytest.approx(1000 * (216 / 230) ** 2)


def test_a_failed_element_gives_its_share() -> None:
    """With half its wire open the heater gives half its plate, whatever it is asked for."""
    assert run(heater(share=0.5), 10.0) == pytest.approx(500.0)


def test_contact_has_hysteresis() -> None:
    """A contact heater stays as it is inside its band: on when warming through it, off when cooling through it."""
    made = heater()
    assert run(made, 19.8) > 0
    assert run(made, 20.1) > 0
    assert run(made, 20.2) == 0
    assert run(made, 19.9) == 0


def test_triac_modulates() -> None:
    """A modulating heater gives half when half of its band is missing."""
    assert run(heater(modulating=True), 19.7) == pytest.approx(500.0)


def test_limit_and_no_heat() -> None:
    """It never gives more than its limit; a limit of 0 means no heat however cold it is."""
    made = heater()
    made.obey(setpoint_c=20.0, limit_w=400.0, locked=False, fallback_c=7.0)
    assert run(made, 5.0) == 400.0
    made.obey(setpoint_c=20.0, limit_w=0.0, locked=False, fallback_c=7.0)
    assert run(made, 5.0) == 0.0


def test_order_runs_out() -> None:
    """After its order has run out it holds the fallback, and a new order rules again."""
    made = heater()
    made.obey(setpoint_c=21.0, limit_w=0.0, locked=False, fallback_c=12.0, expires_s=1800.0)
    assert run(made, 5.0, t_s=1799.0) == 0.0
    assert run(made, 5.0, t_s=1800.0) > 0
    assert made.setpoint_c == 12.0
    made.obey(setpoint_c=19.0, limit_w=1000.0, locked=False, fallback_c=12.0, expires_s=5000.0)
    assert made.setpoint_c == 19.0


def test_locked_buttons_refuse() -> None:
    """Its own buttons change the setpoint, but not while an order has locked them."""
    made = heater()
    assert made.press(23.0)
    assert made.setpoint_c == 23.0
    made.obey(setpoint_c=20.0, limit_w=1000.0, locked=True, fallback_c=7.0)
    assert not made.press(25.0)
    assert made.setpoint_c == 20.0


@given(st.lists(st.tuples(st.floats(-5, 30), st.floats(200, 250)), max_size=50))
def test_counter_is_the_sum_of_what_it_gave(minutes: list[tuple[float, float]]) -> None:
    """The energy counter grows by power times time and never goes back."""
    made, given_wh = heater(bias_k=0.2), 0.0
    for air_c, voltage_v in minutes:
        before = made.energy_wh
        given_wh += run(made, air_c, voltage_v=voltage_v) / 60
        assert made.energy_wh >= before
    assert made.energy_wh == pytest.approx(given_wh)
