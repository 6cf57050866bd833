"""Running integrals: counters that misbehave, gaps, and means over any grid."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.verdict.series import Columns, median_of, running_energy, running_mean_of, running_temperature


def counter(t_s: list[float], wh: list[float]) -> Columns:
    """Return a heater's counter."""
    return Columns(
        t_s=np.array(t_s), computed=np.zeros(len(t_s), np.bool_), values={"energy_wh": np.array(wh, np.float64)}
    )


def energy_wh(columns: Columns, rated_w: float = 1500.0) -> float:
    """Return all the energy that was found."""
    return float(running_energy(columns, rated_w).area[-1]) / 3600


@pytest.mark.parametrize(
    ("wh", "expected"),
    [
        ([100, 150, 200, 250], 150),
        ([100, 150, 0, 50], 100),  # a reset loses nothing that was seen
        ([100, 150, 90_000, 200], 100),  # a wild reading is left out
        ([99_950, 99_990, 20, 60], 110),  # a register of 100 kWh rolls over
        ([100, 100, 100, 100], 0),
    ],
)
def test_counters_give_what_was_drawn(wh: list[float], expected: float) -> None:
    """Ordinary steps, a reset, a spike, a roll-over, stillness."""
    assert energy_wh(counter([0, 120, 240, 360], wh)) == pytest.approx(expected)


def test_a_long_gap_says_nothing_of_its_days() -> None:
    """Energy over 30 hours is not spread over them, unless nothing was drawn at all."""
    moved = running_energy(counter([0, 108_000], [0, 5000]), 1500)
    still = running_energy(counter([0, 108_000], [700, 700]), 1500)
    day = np.array([3600.0, 90_000.0])
    assert np.isnan(moved.between(day)[0][0])
    assert still.between(day)[0][0] == 0
    assert still.between(day)[1][0] == 1


def test_a_mean_is_weighted_by_time_not_by_readings() -> None:
    """Many readings of a warm minute do not outweigh the cold hour."""
    t = np.concatenate([np.arange(0, 60, 1.0), [3600.0, 7200.0]])
    values = np.concatenate([np.full(60, 30.0), [10.0, 10.0]])
    mean, share = running_mean_of(t, values, 10_800).between(np.array([3600.0, 7200.0]))
    assert mean[0] == pytest.approx(10)
    assert share[0] == pytest.approx(1)


def test_nothing_known_is_not_zero() -> None:
    """A span without readings has no mean."""
    running = running_mean_of(np.array([0.0, 60.0]), np.array([20.0, 20.0]), 600)
    mean, share = running.between(np.array([3600.0, 7200.0]))
    assert np.isnan(mean[0])
    assert share[0] == 0


def test_an_offset_is_added_before_impossible_values_go() -> None:
    """The sensor's offset corrects; 85 °C, which broken sensors like to show, is left out."""
    columns = Columns(
        t_s=np.arange(4) * 600.0, computed=np.zeros(4, np.bool_), values={"temp_c": np.array([19.0, 19.0, 85.0, 19.0])}
    )
    assert running_temperature(columns, 1.0).between(np.array([0.0, 1800.0]))[0][0] == pytest.approx(20)


@given(st.lists(st.floats(0, 200), min_size=2, max_size=40), st.integers(1, 5))
def test_parts_of_a_span_add_up(steps: list[float], pieces: int) -> None:
    """However a span is cut, the energy of its parts is the energy of the whole."""
    wh = np.cumsum(steps)
    t = np.arange(len(steps)) * 600.0
    running = running_energy(counter(t.tolist(), wh.tolist()), 3000)
    edges = np.linspace(0, t[-1], pieces + 1)
    mean, _ = running.between(edges)
    assert float((mean * np.diff(edges)).sum()) / 3600 == pytest.approx(wh[-1] - wh[0], abs=1e-6)


@given(st.lists(st.lists(st.floats(-50, 50) | st.just(np.nan), min_size=4, max_size=4), min_size=1, max_size=5))
def test_the_median_is_of_those_that_are_known(rows: list[list[float]]) -> None:
    """Value by value as another library has it."""
    stack = np.array(rows)
    found = median_of(list(stack), 4)
    for at in range(4):
        known = stack[np.isfinite(stack[:, at]), at]
        if len(known):
            assert found[at] == pytest.approx(np.median(known))
        else:
            assert np.isnan(found[at])
