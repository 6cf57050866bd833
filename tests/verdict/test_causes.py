"""Causes at the heater and in the evening, each from readings in which it is plain, and silence where it is not."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest

from ingle.model.readings import OUTDOOR, Source
from ingle.model.verdicts import Cause
from ingle.verdict.series import Columns, Floats
from verdict.still import FILE, assess_columns, columns_by_source, still_house, still_readings, zone_of

HALL = Source("heater", "hall-1")
DAYS = 21
T_S = 1_767_571_200.0 + np.arange(DAYS * 1440 // 5 + 1) * 300.0
HOUR = (T_S - T_S[0]) / 3600


def hall(
    power_w: Floats, temp_c: Floats | float, setpoint_c: float, volts: float = 230.0, **kind: str
) -> tuple[Cause, ...]:
    """Return the hall's causes from its readings; ``kind`` replaces words of the house file."""
    file = FILE
    for old, new in kind.items():
        file = file.replace(old, new)
    energy = np.concatenate([[0.0], np.cumsum(power_w[:-1] * 300 / 3600)])
    full = np.ones(len(T_S))
    columns = {
        HALL: {
            "power_w": power_w,
            "energy_wh": energy,
            "voltage_v": volts * full,
            "temp_c": temp_c * full,
            "setpoint_c": setpoint_c * full,
        },
        OUTDOOR: {"temp_c": 4 + 2 * np.sin(HOUR / 30)},
    }
    none = np.zeros(len(T_S), np.bool_)
    sources = {source: Columns(t_s=T_S, computed=none, values=values) for source, values in columns.items()}
    return zone_of(assess_columns(still_house(file), sources), "hall").causes


def of_code(causes: tuple[Cause, ...], code: str) -> list[Cause]:
    """Return the causes of one code."""
    return [cause for cause in causes if cause.code == code]


ON_OFF = np.where(HOUR % 2 < 0.9, 1.0, 0.0)
MODULATED = 0.3 + 0.1 * np.sin(HOUR / 5)


@pytest.mark.parametrize("share", [0.33, 0.5, 0.67])
def test_a_dead_part_shows_in_the_level(share: float) -> None:
    """A heater that switches between nothing and a part of its plate has lost the rest."""
    found = of_code(hall(2000 * share * ON_OFF, 20.0, 20.0), "part-failed")
    assert len(found) == 1
    assert f"{2000 * share:,.0f} W of 2,000 W" in found[0].evidence


@pytest.mark.parametrize("share", [0.9, 1.0, 1.05])
def test_a_plate_within_its_tolerance_is_healthy(share: float) -> None:
    """IEC 60335-1 allows +5 and −10 %."""
    assert not of_code(hall(2000 * share * ON_OFF, 20.0, 20.0), "part-failed")


def test_a_low_voltage_is_no_dead_part() -> None:
    """At 205 V a sound element gives 79 % of its plate: P ~ V²."""
    found = hall(2000 * (205 / 230) ** 2 * ON_OFF, 20.0, 20.0, volts=205.0)
    assert not of_code(found, "part-failed")
    assert of_code(found, "weak-voltage")


def test_half_the_watts_at_full_voltage_is_the_element() -> None:
    """1000 W of 2000 at 231 V: an open element, and by how much the supply says."""
    found = hall(1000 * ON_OFF, 20.0, 20.0, volts=231.0)
    assert [cause.code for cause in found if cause.code in {"part-failed", "weak-voltage"}] == ["part-failed"]
    assert "at 231 V, where the plate means 2,017 W" in of_code(found, "part-failed")[0].evidence


def test_88_percent_of_the_watts_at_216_volts_is_the_supply() -> None:
    """0.88 = (216/230)²: the element is sound, the voltage weak."""
    found = hall(0.882 * 2000 * ON_OFF, 20.0, 20.0, volts=216.0)
    assert [cause.code for cause in found if cause.code in {"part-failed", "weak-voltage"}] == ["weak-voltage"]
    assert "216 V" in of_code(found, "weak-voltage")[0].evidence
    assert "electrician" in of_code(found, "weak-voltage")[0].check_next


def test_a_self_limiting_element_makes_no_claim_on_voltage() -> None:
    """A PTC element's power does not follow the square of the voltage, so a weak supply is not named from it."""
    ptc = {'id = "hall-1"': 'id = "hall-1"\nelement = "ptc"'}
    found = hall(0.882 * 2000 * ON_OFF, 20.0, 20.0, volts=216.0, **ptc)
    assert not of_code(found, "weak-voltage")
    assert not of_code(found, "part-failed")


def test_a_modulating_heater_off_another_thermometer_is_not_called_dead() -> None:
    """Where another thermometer rules, its own may stand below for ever; power that wanders is control."""
    assert not of_code(hall(2000 * MODULATED, 18.0, 20.5), "part-failed")


def test_a_modulating_heater_in_a_contented_room_proves_nothing() -> None:
    """A third of the plate, held for hours, is control and not damage."""
    assert not hall(2000 * MODULATED, 20.0, 20.0)
    assert not of_code(hall(np.full(len(T_S), 600.0), 20.0, 20.0), "part-failed")


def test_a_modulating_heater_that_is_wanted_shows_its_plate() -> None:
    """Two kelvins below the wanted temperature it must be wholly on; at half the plate a part is dead."""
    assert of_code(hall(np.full(len(T_S), 1000.0), 18.0, 20.5), "part-failed")


def test_a_self_limiting_element_is_not_held_to_its_plate() -> None:
    """A PTC element gives less when warm; that is its nature."""
    ptc = {'id = "hall-1"': 'id = "hall-1"\nelement = "ptc"'}
    assert not of_code(hall(1000 * ON_OFF, 20.0, 20.0, **ptc), "part-failed")


def test_full_power_and_still_cold_is_too_small() -> None:
    """Wholly on day after day, 3 K below the wanted temperature, milder than design."""
    found = hall(np.full(len(T_S), 2000.0), 17.0, 20.0)
    assert of_code(found, "too-small")
    assert not of_code(found, "part-failed")


def test_warm_evenings_without_power_are_other_heat() -> None:
    """The room warms by a kelvin an hour after dark, its heater off."""
    evening = (HOUR % 24 >= 20) & (HOUR % 24 < 23)
    power = np.where((HOUR % 24 >= 18) & (HOUR % 24 < 23), 0.0, 600.0)
    temp = 19 + np.where(evening, HOUR % 24 - 20, 0.0)
    assert of_code(hall(power, temp, 18.0), "other-heat")
    assert not of_code(hall(np.full(len(T_S), 600.0), 19.0, 18.0), "other-heat")


def test_heat_for_a_cold_neighbour_is_told_as_such() -> None:
    """9 K colder next door through 15 W/K: 135 W of the hall's 735 go there; with 60 W/K much more does."""
    hall_w, apart = 40 * 15.0 + 15 * 9.0, 11.0

    def said(between: str, power: float) -> list[Cause]:
        file = FILE.replace("area_m2 = 10.0\nu_w_per_m2k = 1.5", f"area_m2 = 10.0\nu_w_per_m2k = {between}")
        full = np.ones(len(T_S))
        none = np.zeros(len(T_S), np.bool_)
        energy = np.cumsum(np.full(len(T_S), power / 12))
        sources = {
            HALL: {"power_w": power * full, "energy_wh": energy, "temp_c": 20 * full, "setpoint_c": 20 * full},
            Source("heater", "loft-1"): {"power_w": 5 * full, "energy_wh": full, "temp_c": apart * full},
            OUTDOOR: {"temp_c": 5 + 0.5 * np.sin(HOUR / 30)},
        }
        columns = {source: Columns(t_s=T_S, computed=none, values=values) for source, values in sources.items()}
        return of_code(zone_of(assess_columns(still_house(file), columns), "hall").causes, "cold-neighbour")

    assert said("1.5", hall_w) == []
    told = said("6.0", 40 * 15.0 + 60 * 9.0)
    assert len(told) == 1
    assert "Loft" in told[0].evidence
    assert told[0].kwh == pytest.approx(60 * 9 * 0.72, rel=0.1)


def test_a_ratio_that_most_rooms_share_puts_the_survey_first() -> None:
    """One room alone: leak first. All rooms alike: the survey first."""

    def first(times: dict[str, float]) -> str:
        readings = []
        for name, watts in (("hall", 40.0), ("loft", 30.0), ("attic", 20.0)):
            of_hall = still_readings(watts * times[name], 30.0, 30, outdoors=False, every_s=900)
            readings += [
                msgspec.structs.replace(each, source=Source("heater", f"{name}-1"))
                for each in of_hall
                if each.source.id == "hall-1"
            ]
        readings += [each for each in still_readings(40, 30, 30, every_s=900) if each.source == OUTDOOR]
        file = FILE.replace('neighbours = ["loft"]\n', "").replace("u_w_per_m2k = 1.5", "u_w_per_m2k = 0.01")
        file += ATTIC
        zone = zone_of(assess_columns(still_house(file), columns_by_source(readings)), "hall")
        return zone.causes[0].code

    assert first({"hall": 1.8, "loft": 1.0, "attic": 1.0}) == "leak"
    assert first({"hall": 1.8, "loft": 1.8, "attic": 1.8}) == "survey-wrong"


ATTIC = """
[[zone]]
id = "attic"
name = "Attic"
floor_area_m2 = 12.0
height_m = 2.4
given_w_per_k = 20.0

[[zone.heater]]
id = "attic-1"
rated_w = 1500
"""
