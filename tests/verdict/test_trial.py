"""Heating tests: a tight figure from a few nights on simulated houses, and honest silence where there is none."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import msgspec
import numpy as np
import pytest

from ingle.control.heating_test import nights
from ingle.model.devices import Sensor
from ingle.model.heating_tests import RoomTested
from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.series import Columns, Floats
from ingle.verdict.trial import judge_test
from verdict.tested_homes import LONDON, TrialHome, trial_homes

PARLOUR = Source("heater", "parlour-1")


def judged(home: TrialHome, **until: float) -> RoomTested:
    """Return what a home's test tells of its parlour."""
    when = nights(home.test, LONDON)
    end = home.test.end - timedelta(**until)
    (found,) = judge_test(home.house, home.design, home.links, home.read, home.test, when, end)
    return found


@pytest.fixture(name="homes", scope="module")
def _homes() -> list[TrialHome]:
    return trial_homes(20261125, 24)


@pytest.fixture(name="home")
def _home(homes: list[TrialHome]) -> TrialHome:
    return homes[0]


def changed(home: TrialHome, source: Source, **values: Floats) -> TrialHome:
    """Return a home with some columns of one source in place of its own."""
    columns = home.sources[source]
    new = Columns(t_s=columns.t_s, computed=columns.computed, values={**columns.values, **values})
    return replace(home, sources={**home.sources, source: new})


def test_four_nights_tell_the_loss(homes: list[TrialHome]) -> None:
    """On 24 recorded houses the error is a few per cent, the intervals hold the truth, and they are narrow."""
    found = [judged(home) for home in homes]
    rooms = [(each.measured_w_per_k, each.low_w_per_k, each.high_w_per_k) for each in found]
    errors, halves, inside = [], [], 0
    for (value, low, high), home in zip(rooms, homes, strict=True):
        assert value is not None
        assert low is not None
        assert high is not None
        true = home.true_w_per_k["parlour"]
        errors.append(value / true - 1)
        halves.append((high - low) / 2 / value)
        inside += low <= true <= high
    assert np.sqrt(np.mean(np.square(errors))) < 0.06
    assert abs(np.mean(errors)) < 0.03
    assert np.median(halves) < 0.11
    assert inside >= 20


def test_the_survey_does_not_make_the_figure(home: TrialHome) -> None:
    """Stated at half or twice what it is, the design moves the figure by nothing: the nights tell it."""
    found = []
    for times in (0.5, 1.0, 2.0):
        zones = tuple(
            msgspec.structs.replace(zone, given_w_per_k=(zone.given_w_per_k or 0) * times) for zone in home.house.zones
        )
        found.append(judged(replace(home, house=msgspec.structs.replace(home.house, zones=zones))).measured_w_per_k)
    assert found[0] == found[1] == found[2]


def test_each_night_shows_how_it_settles(home: TrialHome) -> None:
    """While it runs, the nights so far are there with a running estimate that narrows, and it says what it lacks."""
    early = judged(home, days=2)
    assert [night.good for night in early.nights] == [True, True]
    assert early.measured_w_per_k is None
    assert early.missing == ("2 good nights of the 3 it takes at least; start another test.",)
    whole = judged(home)
    widths = [(night.high_w_per_k or 0) - (night.low_w_per_k or 0) for night in whole.nights]
    assert widths[0] > widths[-1] > 0
    assert whole.nights[-1].w_per_k == whole.measured_w_per_k
    assert whole.converged


def test_a_running_test_says_that_it_goes_on(home: TrialHome) -> None:
    """A test that can still get its nights says so."""
    running = replace(home, test=msgspec.structs.replace(home.test, stage="measuring", ended=None))
    assert judged(running, days=2).missing[-1].endswith("the test goes on.")


def test_a_loss_that_changes_midway_does_not_converge(home: TrialHome) -> None:
    """Half again as much from the third night on - a window left ajar, a gale - and there is no figure."""
    columns = home.sources[PARLOUR]
    turn_s = (home.test.measure_from + timedelta(hours=40)).timestamp()
    energy = columns["energy_wh"]
    at_turn = float(np.interp(turn_s, columns.t_s, energy))
    more = np.where(columns.t_s > turn_s, at_turn + 1.5 * (energy - at_turn), energy)
    found = judged(changed(home, PARLOUR, energy_wh=more))
    assert found.measured_w_per_k is None
    assert not found.converged
    assert "has not settled" in found.missing[-1]


def test_a_saturated_heater_is_told(home: TrialHome) -> None:
    """A heater that runs flat out night after night has nothing to show: test lower."""
    columns = home.sources[PARLOUR]
    mean_w = float((columns["energy_wh"][-1] - columns["energy_wh"][0]) / (columns.t_s[-1] - columns.t_s[0]) * 3600)
    zones = tuple(
        msgspec.structs.replace(
            zone, heaters=tuple(msgspec.structs.replace(one, rated_w=mean_w) for one in zone.heaters)
        )
        for zone in home.house.zones
    )
    found = judged(replace(home, house=msgspec.structs.replace(home.house, zones=zones)))
    assert found.measured_w_per_k is None
    assert "test at a lower level" in found.missing[0]


@pytest.mark.parametrize(
    ("source", "name", "change", "said"),
    [
        (PARLOUR, "temp_c", -2.5, "instead of"),
        (OUTDOOR, "temp_c", 18.0, "too mild"),
    ],
)
def test_nights_that_do_not_count_say_why(home: TrialHome, source: Source, name: str, change: float, said: str) -> None:
    """A room that was not held and nights too mild are named one by one, and give no figure."""
    found = judged(changed(home, source, **{name: home.sources[source][name] + change}))
    assert found.measured_w_per_k is None
    assert found.good_nights == 0
    assert all(said in (night.why_not or "") for night in found.nights)
    assert found.missing[-1].startswith("0 good nights of the 3")


def test_a_silent_thermometer_spoils_its_nights(home: TrialHome) -> None:
    """Nights without the room's temperature do not count; those with it do."""
    columns = home.sources[PARLOUR]
    silent_s = (home.test.measure_from + timedelta(hours=20)).timestamp()
    temp = np.where(columns.t_s > silent_s, np.nan, columns["temp_c"])
    found = judged(changed(home, PARLOUR, temp_c=temp))
    assert [night.good for night in found.nights] == [True, False, False, False]
    assert "temperature is missing for 11 of 11 h" in (found.nights[1].why_not or "")


def test_an_open_window_spoils_its_night(home: TrialHome) -> None:
    """A contact that says open for an hour takes that night out, and the three others still tell."""
    house = msgspec.structs.replace(home.house, sensors=(Sensor(id="sash", zone="parlour", measures="opening"),))
    t_s = home.sources[PARLOUR].t_s
    first_s = (home.test.measure_from + timedelta(hours=3)).timestamp()
    is_open = ((t_s > first_s) & (t_s < first_s + 3600)).astype(float)
    sash = Columns(t_s=t_s, computed=np.zeros(len(t_s), np.bool_), values={"opening": is_open})
    sources = {**home.sources, Source("sensor", "sash"): sash}
    found = judged(replace(home, house=house, sources=sources))
    assert [night.good for night in found.nights] == [False, True, True, True]
    assert found.nights[0].why_not == "a window or door stood open"


def test_a_sun_sensor_that_never_reads_zero_leaves_the_nights_dark(home: TrialHome) -> None:
    """Half a watt of noise at night is no sunshine: where the sun stands decides, and the figure hardly moves."""
    columns = home.sources[OUTDOOR]
    noisy = changed(home, OUTDOOR, irradiance_w_per_m2=np.full(len(columns.t_s), 0.5))
    plain, found = judged(home), judged(noisy)
    assert plain.measured_w_per_k is not None
    assert found.measured_w_per_k == pytest.approx(plain.measured_w_per_k, rel=0.06)


def test_computed_energy_is_no_measurement(home: TrialHome) -> None:
    """What a heater reckons from its own duty hides a dead element, and is refused."""
    columns = home.sources[PARLOUR]
    computed = Columns(t_s=columns.t_s, computed=np.ones(len(columns.t_s), np.bool_), values=columns.values)
    found = judged(replace(home, sources={**home.sources, PARLOUR: computed}))
    assert "computed, not metered" in (found.nights[0].why_not or "")


def test_a_night_without_heat_tells_a_time_constant() -> None:
    """The cool-down night gives how slowly the room cools; without one there is none."""
    (home,) = trial_homes(7, 1, cool_down=True)
    found = judged(home)
    assert found.time_constant_h is not None
    assert 5 < found.time_constant_h < 120
    (plain,) = trial_homes(7, 1)
    assert judged(plain).time_constant_h is None


def test_an_empty_record_says_nothing(home: TrialHome) -> None:
    """Without any reading there is no figure, no fault, and a sentence."""
    found = judged(replace(home, sources={}))
    assert found.measured_w_per_k is None
    assert found.missing
