"""What the record of wants and of holds explains, and silence where there is no record."""

from __future__ import annotations

import numpy as np
import pytest

from ingle.design import design_house
from ingle.model.readings import OUTDOOR, Source
from ingle.model.verdicts import Cause
from ingle.reports.assess import links
from ingle.verdict.record import Record
from ingle.verdict.rooms import assess_rooms
from ingle.verdict.series import Columns, Floats
from verdict.still import still_house

T_S = 1_767_571_200.0 + np.arange(21 * 288 + 1) * 300.0
HOUR = (T_S - T_S[0]) / 3600 % 24
PROGRAMME = np.where((HOUR >= 7) & (HOUR < 22), 20.0, 16.0)


def causes(ordered: Floats, held: Floats, *, capped: Floats | None = None, room_c: Floats | None = None) -> list[Cause]:
    """Return the hall's causes that come from the record."""
    temp = held if room_c is None else room_c
    power = 40 * (temp - 5.0)
    values = {
        "power_w": power,
        "energy_wh": np.concatenate([[0.0], np.cumsum(power[:-1] / 12)]),
        "temp_c": temp,
        "setpoint_c": held,
    }
    none = np.zeros(len(T_S), np.bool_)
    sources = {
        Source("heater", "hall-1"): Columns(t_s=T_S, computed=none, values=values),
        OUTDOOR: Columns(t_s=T_S, computed=none, values={"temp_c": 5 + np.sin(HOUR / 4)}),
    }
    record = Record(
        t_s=T_S, wanted_c=ordered, programme_c=PROGRAMME, capped=none if capped is None else capped.astype(np.bool_)
    )
    house = still_house()
    result = assess_rooms(
        house,
        design_house(house),
        links(house),
        lambda source: sources.get(source, Columns.of([])),
        float(T_S[0]),
        float(T_S[-1]),
        records={"hall": record},
    )
    told = {"target-high", "hours-long", "local-change", "cap-binding", "radio-lost"}
    return [cause for cause in result.zones[0].causes if cause.code in told]


def test_a_room_as_programmed_explains_nothing() -> None:
    """Ordered and held as the programme says."""
    assert causes(PROGRAMME, PROGRAMME) == []


def test_a_warmer_level_in_occupied_hours_is_told() -> None:
    """22.5 °C instead of 20 for 15 hours a day: 2.5 K · 15/24 · some 40 W/K · 720 h, about 45 kWh a month."""
    ordered = np.where(PROGRAMME > 18, 22.5, PROGRAMME)
    found = causes(ordered, ordered)
    assert [cause.code for cause in found] == ["target-high"]
    assert "2.5 K" in found[0].evidence
    assert found[0].kwh == pytest.approx(45, rel=0.3)


def test_longer_hours_are_told() -> None:
    """Kept warm until 02:00 every day."""
    ordered = np.where((HOUR >= 22) | (HOUR < 2), 20.0, PROGRAMME)
    assert [cause.code for cause in causes(ordered, ordered)] == ["hours-long"]


def test_a_heater_turned_up_by_hand_is_told() -> None:
    """It holds 3 K more than it was ordered to, in the evenings."""
    held = np.where((HOUR >= 18) & (HOUR < 22), PROGRAMME + 3, PROGRAMME)
    assert [cause.code for cause in causes(PROGRAMME, held)] == ["local-change"]


def test_a_heater_that_never_follows_is_not_called_turned_up() -> None:
    """A heater on its own thermostat has its own setpoint at all times."""
    assert causes(PROGRAMME, PROGRAMME + 3) == []


def test_a_cap_that_leaves_the_room_cold_is_told() -> None:
    """Two hours every morning without heat, 2 K below what was wanted."""
    capped = (HOUR >= 7) & (HOUR < 9)
    room = np.where(capped, 18.0, PROGRAMME)
    found = causes(PROGRAMME, PROGRAMME, capped=capped, room_c=room)
    assert [cause.code for cause in found] == ["cap-binding"]
    assert "2.0 K below" in found[0].evidence


def test_a_decision_of_last_week_says_nothing_of_today() -> None:
    """A decision that stands is noted again every day; a longer silence is not known."""
    record = Record(
        t_s=np.array([0.0]), wanted_c=np.array([20.0]), programme_c=np.array([19.0]), capped=np.array([True])
    )
    wanted, programme, capped = record.at(np.array([3600.0, 7 * 86400.0]))
    assert wanted[0] == 20.0
    assert programme[0] == 19.0
    assert capped.tolist() == [True, False]
    assert np.isnan(wanted[1])
