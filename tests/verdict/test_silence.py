"""Hard data must give silence, not error, and never a wrong verdict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.series import Columns
from verdict.still import (
    FILE,
    OUTDOOR_C,
    assess_columns,
    changed,
    columns_by_source,
    still_house,
    still_readings,
    zone_of,
)

HALL = Source("heater", "hall-1")
Sources = dict[Source, Columns]


@pytest.fixture(name="sources", scope="module")
def _sources() -> Sources:
    return columns_by_source(still_readings(40, 30))


def some(columns: Columns, which: np.typing.NDArray[np.bool_]) -> Columns:
    """Return some of the rows."""
    return Columns(
        t_s=columns.t_s[which],
        computed=columns.computed[which],
        values={name: each[which] for name, each in columns.values.items()},
    )


def days(sources: Sources, count: float) -> Sources:
    """Return the first days only."""
    return {source: some(each, each.t_s <= each.t_s[0] + count * 86400) for source, each in sources.items()}


def swinging(columns: Columns, mean_c: float, swing_k: float) -> Columns:
    """Return an outdoor temperature that wanders from day to day."""
    day = (columns.t_s - columns.t_s[0]) / 86400
    return changed(columns, temp_c=mean_c + swing_k * np.sin(day * 1.3) + 2 * np.sin(2 * np.pi * day))


HARD: dict[str, Callable[[Sources], Sources]] = {
    "no readings": lambda _: {},
    "one reading": lambda s: {source: some(each, np.arange(len(each.t_s)) == 0) for source, each in s.items()},
    "one day": lambda s: days(s, 1),
    "no outdoor temperature": lambda s: {source: each for source, each in s.items() if source != OUTDOOR},
    "not heated": lambda s: {**s, HALL: changed(s[HALL], power_w=0.0, energy_wh=500.0)},
    "no temperature": lambda s: {**s, HALL: changed(s[HALL], temp_c=np.nan)},
    "wild temperature": lambda s: {**s, HALL: changed(s[HALL], temp_c=850.0)},
    "a silent heater": lambda s: {source: each for source, each in s.items() if source != HALL},
    "a reading every two days": lambda s: {
        source: some(each, np.arange(len(each.t_s)) % 576 == 0) for source, each in s.items()
    },
    "warmer outside": lambda s: {**s, OUTDOOR: changed(s[OUTDOOR], temp_c=25.0)},
    "computed energy": lambda s: {**s, HALL: replace(s[HALL], computed=np.ones(len(s[HALL].t_s), np.bool_))},
    "a counter of noise": lambda s: {
        **s,
        HALL: changed(s[HALL], energy_wh=np.random.default_rng(1).uniform(0, 1e7, len(s[HALL].t_s)), power_w=np.nan),
    },
}


@pytest.mark.parametrize("case", HARD)
def test_hard_data_give_a_reason_and_no_verdict(case: str, sources: Sources) -> None:
    """Whatever is missing is said in a sentence; no verdict, no cause of excess loss."""
    zone = zone_of(assess_columns(still_house(), HARD[case](sources)), "hall")
    assert zone.verdict == "cannot-say-yet"
    assert zone.probability is None
    assert zone.missing
    assert all(sentence.endswith((".", "?")) for sentence in zone.missing)
    assert not zone.causes


def test_missing_outdoor_temperature_is_named(sources: Sources) -> None:
    """The reason speaks of the outdoor temperature, and only its coming makes a date."""
    zone = zone_of(assess_columns(still_house(), HARD["no outdoor temperature"](sources)), "hall")
    assert "outdoor temperature" in zone.missing[0]
    assert zone.measured_w_per_k is None
    assert zone.possible_from is None
    assert zone.metered_kwh == pytest.approx(630 * 24 * 27 / 1000, rel=1e-3)


def test_computed_energy_gives_a_figure_and_no_verdict(sources: Sources) -> None:
    """A dead element hides in energy computed from duty, so a 60 % excess is not called one."""
    more = columns_by_source(still_readings(64, 30))
    zone = zone_of(assess_columns(still_house(), HARD["computed energy"](more)), "hall")
    assert zone.measured_w_per_k == pytest.approx(64, rel=0.01)
    assert zone.verdict == "cannot-say-yet"
    assert "duty" in zone.missing[0]
    assert zone_of(assess_columns(still_house(), HARD["computed energy"](sources)), "loft").verdict == "as-designed"


def test_a_stuck_thermometer_is_suspected(sources: Sources) -> None:
    """The room's temperature stands to the last digit while power and weather move."""
    day = (sources[HALL].t_s - sources[HALL].t_s[0]) / 86400
    power = 630 + 400 * np.sin(day * 1.3)
    energy = np.concatenate([[0], np.cumsum(power[:-1] / 12)])
    moved = {
        **sources,
        HALL: changed(sources[HALL], power_w=power, energy_wh=energy),
        OUTDOOR: swinging(sources[OUTDOOR], OUTDOOR_C, 3),
    }
    zone = zone_of(assess_columns(still_house(), moved), "hall")
    assert zone.verdict == "cannot-say-yet"
    assert "stuck" in " ".join(zone.missing)


def test_a_room_without_heaters_says_so(sources: Sources) -> None:
    """Nothing metered, nothing to compare; its neighbour is still judged, with a wider interval."""
    file = FILE[: FILE.rindex("[[zone.heater]]")]
    result = assess_columns(still_house(file), sources)
    assert "no heater" in zone_of(result, "loft").missing[0]
    assert zone_of(result, "hall").measured_w_per_k is not None


def test_a_hot_room_is_kept(sources: Sources) -> None:
    """41 °C is a warm room, not a broken sensor."""
    hot = {source: changed(each, temp_c=each["temp_c"] + 21) for source, each in sources.items()}
    zone = zone_of(assess_columns(still_house(), hot), "hall")
    assert zone.measured_w_per_k == pytest.approx(40, rel=0.01)


def test_a_year_long_hole_in_time_is_survived(sources: Sources) -> None:
    """A clock that was a year wrong for an hour leaves a gap, not an error."""
    early = {}
    for source, each in sources.items():
        t_s = each.t_s.copy()
        t_s[:12] -= 360 * 86400
        early[source] = Columns(t_s=t_s, computed=each.computed, values=each.values)
    zone = zone_of(assess_columns(still_house(), early), "hall")
    assert zone.measured_w_per_k == pytest.approx(40, rel=0.02)


def test_power_alone_will_do_where_there_is_no_counter(sources: Sources) -> None:
    """Sampled power adds up to the day's energy."""
    bare = {source: changed(each, energy_wh=np.nan) for source, each in sources.items()}
    zone = zone_of(assess_columns(still_house(), bare), "hall")
    assert zone.measured_w_per_k == pytest.approx(40, rel=0.01)


def test_energy_across_a_gap_is_not_lost(sources: Sources) -> None:
    """The counter bridges five hours without messages."""
    hour = (sources[HALL].t_s - sources[HALL].t_s[0]) / 3600 % 24
    holed = {source: some(each, (hour < 8) | (hour > 13)) for source, each in sources.items()}
    zone = zone_of(assess_columns(still_house(), holed), "hall")
    assert zone.measured_w_per_k == pytest.approx(40, rel=0.01)
    assert zone.days_used == 27
