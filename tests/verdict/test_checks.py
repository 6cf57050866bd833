"""A fit that fails its own checks gives a figure and no verdict."""

from __future__ import annotations

import numpy as np
import pytest

from ingle.model.readings import OUTDOOR, Source
from ingle.verdict.checks import failed
from ingle.verdict.series import Columns
from verdict.still import assess_columns, changed, columns_by_source, still_house, still_readings, zone_of
from verdict.test_silence import swinging

HALL = Source("heater", "hall-1")
DAYS = 28


def weather() -> dict[Source, Columns]:
    """Return the still house under an outdoor temperature that moves."""
    sources = columns_by_source(still_readings(40, 30, DAYS))
    return {**sources, OUTDOOR: swinging(sources[OUTDOOR], 5.0, 5.0)}


def counted(columns: Columns, power_w: np.typing.NDArray[np.float64]) -> Columns:
    """Return columns whose counter adds up a power."""
    hours = np.diff(columns.t_s, prepend=columns.t_s[0]) / 3600
    return changed(columns, power_w=power_w, energy_wh=np.cumsum(power_w * hours))


def test_a_constant_counter_is_doubted() -> None:
    """The same power every day while the weather swings by 10 K is no thermostat's: no verdict, and why."""
    sources = weather()
    sources[HALL] = counted(sources[HALL], np.full(len(sources[HALL].t_s), 630.0))
    zone = zone_of(assess_columns(still_house(), sources), "hall")
    assert zone.verdict == "cannot-say-yet"
    assert any("whatever the weather" in sentence for sentence in zone.missing)
    assert zone.measured_w_per_k is not None


def test_days_that_scatter_wildly_give_no_verdict() -> None:
    """Power thrown by dice: CV(RMSE) over the 30 % of Guideline 14's hourly limit."""
    sources = weather()
    rng = np.random.default_rng(5)
    days = ((sources[HALL].t_s - sources[HALL].t_s[0] - 4 * 3600) // 86400).astype(int)
    sources[HALL] = counted(sources[HALL], rng.choice([50.0, 1500.0], days.max() + 2)[days])
    zone = zone_of(assess_columns(still_house(), sources), "hall")
    assert zone.verdict == "cannot-say-yet"
    assert any("CV(RMSE)" in sentence for sentence in zone.missing)


@pytest.mark.parametrize(("off_w", "says"), [(0.0, ""), (150.0, "NMBE")])
def test_bias_beyond_the_limit_is_told(off_w: float, says: str) -> None:
    """A mean that is off by more than a tenth; one that fits passes."""
    apart = 12 + np.random.default_rng(1).normal(0, 4, 28)
    reasons = failed(40 * apart, 40 * apart - off_w, apart, 40.0)
    assert bool(reasons) == bool(says)
    assert says in " ".join(reasons)


def test_few_days_are_left_to_the_interval() -> None:
    """Five days of any scatter fail nothing: their interval is wide."""
    apart = np.array([5.0, 9, 13, 8, 11])
    assert failed(np.full(5, 600.0), np.full(5, 100.0), apart, 40.0) == []
