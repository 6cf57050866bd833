"""What is left over when a model has been fitted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.verdict.scatter import apart, in_common, likeness


@given(st.lists(st.integers(0, 6), min_size=1, max_size=20), st.floats(0.0, 0.7), st.integers(0, 99))
def test_what_rooms_share_is_taken_off_as_the_matrix_would(days: list[int], common: float, seed: int) -> None:
    """The same as the inverse square root of each day's correlation matrix, in any order of rows, for columns too."""
    day = np.array(days)
    rows = np.random.default_rng(seed).normal(0, 1, (len(day), 3))
    expected = np.empty_like(rows)
    for each in set(days):
        which = day == each
        size = int(which.sum())
        values, vectors = np.linalg.eigh(np.full((size, size), common) + (1 - common) * np.eye(size))
        expected[which] = vectors @ np.diag(values**-0.5) @ vectors.T @ rows[which]
    assert apart(rows, day, common) == pytest.approx(expected)
    assert apart(rows[:, 0], day, common) == pytest.approx(expected[:, 0])


@pytest.mark.parametrize("common", [0.0, 0.3, 0.6])
def test_the_likeness_of_rooms_is_found(common: float) -> None:
    """From 200 days of six rooms within 0.06; one room has nothing in common with itself."""
    rng = np.random.default_rng(3)
    day = np.repeat(np.arange(200), 6)
    error = np.sqrt(common) * rng.normal(0, 1, 200)[day] + np.sqrt(1 - common) * rng.normal(0, 1, 1200)
    assert in_common(error, day) == pytest.approx(common, abs=0.06)
    assert in_common(error[:200], np.arange(200)) == 0.0


def test_the_likeness_of_days_is_found() -> None:
    """From a year of days with 0.5; few days stay near the common 0.3."""
    rng = np.random.default_rng(4)
    error = np.zeros(365)
    for at in range(1, 365):
        error[at] = 0.5 * error[at - 1] + rng.normal()
    assert likeness(error, np.arange(365)) == pytest.approx(0.5, abs=0.1)
    assert likeness(error[:4], np.arange(4)) == pytest.approx(0.3, abs=0.15)
