"""Moist air against another program and against the figures that rules on mould are known by."""

from __future__ import annotations

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.physics.moisture import (
    DWELLING_F_RSI,
    R_SI_MOULD,
    dew_point_c,
    least_f_rsi,
    least_surface_c,
    saturated_at_c,
    saturation_pressure_pa,
    surface_c,
    surface_humidity_percent,
    vapour_pressure_pa,
    wall_f_rsi,
)

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(("temperature", "pressure"), [(0, 610.50), (10, 1227.31), (20, 2336.95)])
def test_saturation_pressure_is_the_standard_s(temperature: float, pressure: float) -> None:
    """ISO 13788:2012, Annex E, reckoned by hand."""
    assert saturation_pressure_pa(temperature) == pytest.approx(pressure, abs=0.01)


@pytest.mark.parametrize("temperature", range(-20, 41, 5))
def test_saturation_pressure_is_near_another_program_s(temperature: float) -> None:
    """Psychrolib 2.5.0 (ASHRAE Handbook, Fundamentals, 2017): 0.2 % apart over water, 0.6 % over ice, at most."""
    theirs = psychrolib.GetSatVapPres(temperature)
    assert saturation_pressure_pa(temperature) == pytest.approx(theirs, rel=0.002 if temperature >= 0 else 0.006)


@pytest.mark.parametrize("temperature", [12.0, 20.0, 27.0])
@pytest.mark.parametrize("humidity", [20.0, 50.0, 80.0])
def test_dew_point_is_another_program_s(temperature: float, humidity: float) -> None:
    """Psychrolib 2.5.0 finds the same dew points within 0.03 K, those over ice included."""
    theirs = psychrolib.GetTDewPointFromRelHum(temperature, humidity / 100)
    assert dew_point_c(temperature, humidity) == pytest.approx(theirs, abs=0.03)


def test_dew_point_of_the_usual_room() -> None:
    """A room of 20 °C and 50 %: 9.27 °C by psychrolib 2.5.0."""
    assert dew_point_c(20, 50) == pytest.approx(9.27, abs=0.02)


def test_least_surface_temperature_is_the_classical_one() -> None:
    """The 12.6 °C that DIN 4108-2:2013 is known by, for 80 % in a room of 20 °C and 50 %."""
    assert least_surface_c(20, 50) == pytest.approx(12.62, abs=0.01)


@pytest.mark.parametrize(("outdoor", "factor"), [(0, 0.631), (-5, 0.705)])
def test_least_factor(outdoor: float, factor: float) -> None:
    """At -5 °C it is the 0.70 of DIN 4108-2:2013; at 0 °C by ISO 13788:2012."""
    assert least_f_rsi(20, 50, outdoor) == pytest.approx(factor, abs=0.001)


def test_a_bare_wall_is_below_what_dwellings_need() -> None:
    """U 2.1 gives 0.727, below the 0.75 of BRE Information Paper IP 1/06; an insulated wall's corner is above it."""
    assert wall_f_rsi(2.1, 0.13) == pytest.approx(0.727, abs=1e-9)
    assert wall_f_rsi(2.1, 0.13) < DWELLING_F_RSI < wall_f_rsi(0.3, R_SI_MOULD)


@given(st.floats(-60, 60))
def test_saturation_is_undone(temperature: float) -> None:
    """A saturated vapour's dew point is its temperature, above and below freezing."""
    assert saturated_at_c(saturation_pressure_pa(temperature)) == pytest.approx(temperature, abs=1e-6)


@given(st.floats(5, 30), st.floats(1, 100), st.floats(1, 40), st.floats(0.01, 0.99))
def test_colder_surfaces_are_damper(room: float, humidity: float, colder: float, factor: float) -> None:
    """Humidity at a surface is never below the room's, and reaches the limit exactly at the least factor."""
    outdoor = room - colder
    there = surface_humidity_percent(room, humidity, outdoor, factor)
    assert there >= humidity
    assert there <= surface_humidity_percent(room, humidity, outdoor, factor / 2)
    least = least_f_rsi(room, humidity, outdoor)
    if -1 < least <= 1:
        assert surface_humidity_percent(room, humidity, outdoor, least) == pytest.approx(80, abs=1e-6)
    assert outdoor <= surface_c(room, outdoor, factor) <= room


@pytest.mark.parametrize("humidity", [-1.0, 100.5, float("nan")])
def test_an_impossible_humidity_is_refused(humidity: float) -> None:
    """Percent outside 0 to 100 is a slip."""
    with pytest.raises(ValueError, match="relative humidity"):
        vapour_pressure_pa(20, humidity)


def test_what_has_no_answer_is_refused() -> None:
    """No vapour has no dew point, a warm day no factor, a wall no more U than its inner surface lets through."""
    with pytest.raises(ValueError, match="no dew point"):
        dew_point_c(20, 0)
    with pytest.raises(ValueError, match="not warmer"):
        least_f_rsi(20, 50, 20)
    with pytest.raises(ValueError, match="do not go together"):
        wall_f_rsi(8, 0.13)
    with pytest.raises(ValueError, match="from -100 to 100"):
        saturation_pressure_pa(float("nan"))
