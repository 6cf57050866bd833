"""Switching, rooms that never get warm, sensors that stand, thermometers in the heater's draught, and damp walls."""

from __future__ import annotations

import numpy as np
import pytest

from ingle.model.readings import OUTDOOR, Source
from ingle.model.verdicts import Moisture, ZoneVerdict
from ingle.verdict.series import Columns, Floats
from verdict.still import FILE, assess_columns, still_house, zone_of

HALL = Source("heater", "hall-1")
START_S = 1_767_571_200.0


def assessed(columns: dict[Source, Columns], file: str = FILE) -> ZoneVerdict:
    """Return what is said of the hall."""
    return zone_of(assess_columns(still_house(file), columns), "hall")


def source(t_s: Floats, **values: Floats | float) -> Columns:
    """Return columns of readings, single numbers for all times."""
    rows = {name: np.broadcast_to(np.asarray(each, np.float64), t_s.shape).copy() for name, each in values.items()}
    if "power_w" in rows:
        step = np.diff(t_s, prepend=t_s[0])
        rows["energy_wh"] = np.cumsum(np.concatenate([[0.0], rows["power_w"][:-1]]) * step / 3600)
    return Columns(t_s=t_s, computed=np.zeros(len(t_s), np.bool_), values=rows)


def minutes(days: float) -> Floats:
    """Return the minutes of some days."""
    return START_S + np.arange(round(days * 1440) + 1) * 60.0


@pytest.mark.parametrize(("times", "flagged"), [(22, True), (6, False)])
def test_switching_on_too_often_is_told(times: int, *, flagged: bool) -> None:
    """22 times an hour wears a contact out; 6 is ordinary."""
    t_s = minutes(8)
    phase = np.arange(len(t_s)) * times / 60 % 1
    zone = assessed(
        {
            HALL: source(
                t_s, power_w=np.where(phase < 0.5, 2000.0, 0.0), temp_c=20.0, setpoint_c=20.0, voltage_v=230.0
            ),
            OUTDOOR: source(t_s, temp_c=4.0),
        }
    )
    told = [each for each in zone.findings if each.code == "short-cycling"]
    assert bool(told) is flagged
    if told:
        assert "22 times an hour" in told[0].sentence


def test_switchings_between_slow_readings_are_not_guessed() -> None:
    """A reading every five minutes cannot tell how often a heater went on."""
    t_s = minutes(8)[::5]
    on = np.arange(len(t_s)) % 2 == 0
    zone = assessed(
        {HALL: source(t_s, power_w=np.where(on, 2000.0, 0.0), temp_c=20.0), OUTDOOR: source(t_s, temp_c=4.0)}
    )
    assert not [each for each in zone.findings if each.code == "short-cycling"]


@pytest.mark.parametrize(("slope", "told"), [(-0.3, True), (0.3, False)])
def test_three_hours_wholly_on_and_falling_is_told(slope: float, *, told: bool) -> None:
    """Three hours at full power and still colder: too small or losing; getting warmer is only warming up."""
    t_s = minutes(8)[::5]
    hour = (t_s - t_s[0]) / 3600
    cold = hour >= hour[-1] - 5
    temp = np.where(cold, 18.0 + slope * (hour - hour[-1] + 5), 20.0)
    power = np.where(cold, 2000.0, np.where(hour % 2 < 0.6, 2000.0, 0.0))
    zone = assessed(
        {
            HALL: source(t_s, power_w=power, temp_c=temp, setpoint_c=20.0, voltage_v=230.0),
            OUTDOOR: source(t_s, temp_c=4.0),
        }
    )
    found = [each for each in zone.findings if each.code == "never-reaches-target"]
    assert bool(found) is told
    if found:
        assert "too small or losing" in found[0].sentence


def test_a_thermometer_that_stands_is_told() -> None:
    """Two days to the last digit while weather and power change."""
    t_s = minutes(8)[::5]
    day = (t_s - t_s[0]) / 86400
    power = 800 + 500 * np.sin(2 * np.pi * day)
    zone = assessed(
        {
            HALL: source(t_s, power_w=power, temp_c=20.0, setpoint_c=20.0),
            OUTDOOR: source(t_s, temp_c=4 + 3 * np.sin(2 * np.pi * day)),
        }
    )
    assert [each.code for each in zone.findings] == ["sensor-stuck"]
    assert "20.0 °C" in zone.findings[0].sentence


def followed(lag_min: float, rise_k: float) -> ZoneVerdict:
    """Return what is said of a room whose thermometer gets a share of the heater's warmth after a lag."""
    t_s = minutes(21)
    hour = (t_s - t_s[0]) / 3600 % 24
    wanted = np.where((hour >= 6) & (hour < 9) | (hour >= 16) & (hour < 22), 20.0, 17.0)
    warm = np.diff(wanted, prepend=wanted[0])
    power = np.where(wanted > 18, 2000.0, 0.0)
    lagged, state = np.empty(len(t_s)), 0.0
    for place, watts in enumerate(power):
        state += (watts / 2000 - state) / lag_min
        lagged[place] = state
    walls, state = np.empty(len(t_s)), 0.0
    for place, watts in enumerate(power):
        state += (watts / 2000 - state) / 240
        walls[place] = state
    noise = np.random.default_rng(3).normal(0, 0.03, len(t_s))
    temp = 16.5 + 4 * walls + rise_k * lagged + noise
    assert np.abs(warm).max() > 1
    return assessed(
        {
            HALL: source(t_s, power_w=power, temp_c=np.round(temp, 1), setpoint_c=wanted, voltage_v=230.0),
            OUTDOOR: source(t_s, temp_c=4 + np.sin(2 * np.pi * (t_s - t_s[0]) / 86400 / 5)),
        }
    )


def test_a_thermometer_by_the_heater_is_named_and_the_verdict_withheld() -> None:
    """It rises and falls within minutes of the heater, on walls that take four hours."""
    zone = followed(lag_min=3.0, rise_k=5.0)
    assert zone.causes[0].code == "sensor-place"
    assert zone.verdict == "cannot-say-yet"
    assert any("shows the heater and not the room" in sentence for sentence in zone.missing)


def test_a_light_room_is_not_called_a_misplaced_thermometer() -> None:
    """Air with furniture in it follows within half an hour, which is its nature."""
    assert not [cause for cause in followed(lag_min=25.0, rise_k=5.0).causes if cause.code == "sensor-place"]


DAMP_FILE = (
    FILE
    + """
[[sensor]]
id = "hall-damp"
zone = "hall"
measures = "humidity"
"""
)


def damp(temp_c: float, humidity_percent: float, outdoor_c: float, days: int = 6) -> Moisture:
    """Return the hall's mould risk in constant air."""
    t_s = minutes(days)[::10]
    zone = assessed(
        {
            HALL: source(t_s, power_w=600.0, temp_c=temp_c, setpoint_c=temp_c),
            Source("sensor", "hall-damp"): source(t_s, humidity_percent=humidity_percent),
            OUTDOOR: source(t_s, temp_c=outdoor_c),
        },
        DAMP_FILE,
    )
    assert zone.moisture is not None
    return zone.moisture


def test_a_cold_damp_room_is_at_risk_of_mould() -> None:
    """16 °C and 70 % at 2 °C outside: 87.8 % at a surface of f_Rsi 0.75 (BRE IP 1/06; formulas of ISO 13788)."""
    found = damp(16, 70, 2)
    assert found.verdict == "risk"
    assert found.days_over == found.days == 5
    assert found.surface_c == pytest.approx(12.5)
    assert found.surface_rh_percent == pytest.approx(87.8, abs=0.5)
    assert found.lever == "heat"
    assert found.check_next is not None


def test_a_heater_that_measures_humidity_serves_where_no_sensor_does() -> None:
    """The same air, known from the heater's own readings alone, is the same risk; a sensor in the room goes before."""
    t_s = minutes(6)[::10]
    columns = {
        HALL: source(t_s, power_w=600.0, temp_c=16.0, setpoint_c=16.0, humidity_percent=70.0),
        OUTDOOR: source(t_s, temp_c=2.0),
    }
    alone = assessed(columns).moisture
    assert alone is not None
    assert (alone.verdict, alone.surface_rh_percent) == ("risk", pytest.approx(87.8, abs=0.5))
    beside = assessed({**columns, Source("sensor", "hall-damp"): source(t_s, humidity_percent=45.0)}, DAMP_FILE)
    assert beside.moisture is not None
    assert beside.moisture.verdict == "none"


def test_dry_air_is_no_risk() -> None:
    """The same room at 45 %."""
    found = damp(16, 45, 2)
    assert found.verdict == "none"
    assert found.lever is None
    assert found.check_next is None


@pytest.mark.parametrize(
    ("temp_c", "percent", "outdoor_c", "lever"),
    [(20, 72, 0, "moisture"), (21, 66, 0, "moisture"), (19.5, 72, 8, "air")],
)
def test_what_helps_against_mould_follows_from_the_water_in_the_air(
    temp_c: float, percent: float, outdoor_c: float, lever: str
) -> None:
    """A warm room with much more water than people give has a source; with less, it lacks air."""
    found = damp(temp_c, percent, outdoor_c)
    assert found.verdict == "risk"
    assert found.lever == lever


def test_two_days_of_humidity_are_too_few() -> None:
    """Mould is a matter of days."""
    assert damp(16, 70, 2, days=2).verdict == "cannot-say-yet"


def test_a_bad_wall_of_the_survey_counts_with_its_own_factor() -> None:
    """A wall of U 2.0 has f_Rsi 1 - 2.0 · 0.25 = 0.5 in its corners: 60 % is then too much at 2 °C outside."""
    file = DAMP_FILE.replace(
        "given_w_per_k = 40.0\nneighbours",
        "neighbours",
    ).replace(
        '[[zone.element]]\nname = "partition"',
        '[[zone.element]]\nname = "old gable"\nkind = "wall"\narea_m2 = 12.0\nu_w_per_m2k = 2.0\n\n'
        '[[zone.element]]\nname = "partition"',
    )
    t_s = minutes(6)[::10]
    columns = {
        HALL: source(t_s, power_w=600.0, temp_c=18.0, setpoint_c=18.0),
        Source("sensor", "hall-damp"): source(t_s, humidity_percent=60.0),
        OUTDOOR: source(t_s, temp_c=2.0),
    }
    found = assessed(columns, file).moisture
    assert found is not None
    assert found.f_rsi == pytest.approx(0.5)
    assert "old gable" in found.f_rsi_source
    assert found.verdict == "risk"


def test_without_a_humidity_sensor_nothing_is_said_of_mould() -> None:
    """Null, not none."""
    t_s = minutes(6)[::10]
    zone = assessed({HALL: source(t_s, power_w=600.0, temp_c=18.0), OUTDOOR: source(t_s, temp_c=2.0)})
    assert zone.moisture is None
