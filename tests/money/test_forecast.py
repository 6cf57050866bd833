"""What a room will take by what it took lately: by hand, and over drawn weeks."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.money.forecast import error_percent, expected
from ingle.money.periods import Day

days = st.lists(st.builds(Day, st.floats(0, 100), st.floats(0, 30)), min_size=0, max_size=40)


def test_a_story_of_a_concert() -> None:
    """24.10 said and 25.75 come to -6 % (by hand)."""
    off = error_percent(24.10, 25.75)
    assert off is not None
    assert round(off) == -6


def test_it_goes_by_degree_days_where_it_was_cold() -> None:
    """2 kWh a degree day: 140 kWh for 70 K·d, with the scatter of days in the limits."""
    lately = [Day(20.0 + stray, 10.0) for stray in (-2.0, 2.0) * 14]
    found = expected(lately, 7, 70.0)
    assert found is not None
    assert found.method == "degree-days"
    assert found.kwh == pytest.approx(140.0)
    assert 140 - found.low == pytest.approx(found.high - 140)
    # Seven days that stray by 2 kWh each: 1.96 x 2 x sqrt(7) = 10.4, and the mean's own error beside it.
    assert 10.4 < found.high - 140 < 13.0


def test_mild_days_go_by_the_day() -> None:
    """Where it was hardly cold, or nobody says how cold it will be, the mean day stands."""
    mild = expected([Day(4.0, 0.1)] * 28, 7, 70.0)
    unsaid = expected([Day(20.0, 10.0)] * 28, 7, None)
    assert mild is not None
    assert unsaid is not None
    assert (mild.kwh, mild.method) == (28.0, "days")
    assert (unsaid.kwh, unsaid.method) == (140.0, "days")


@given(days, st.integers(1, 31), st.none() | st.floats(0, 400))
def test_limits_hold_what_is_said(lately: list[Day], ahead: int, degree_days: float | None) -> None:
    """Never below nothing, limits on either side, and no word on fewer than seven days."""
    found = expected(lately, ahead, degree_days)
    assert (found is None) == (len(lately) < 7)
    if found is not None:
        assert 0 <= found.low <= found.kwh + 1e-9
        assert found.kwh <= found.high + 1e-9


def test_limits_hold_what_comes_nineteen_times_of_twenty() -> None:
    """On 400 drawn months of a room at 2 kWh/(K·d) with 15 % scatter a day, the weeks lie within as they should."""
    chance = Random(20260112)  # noqa: S311 - a drawn house, not a secret
    inside = 0
    for _ in range(400):
        cold = [chance.uniform(3, 14) for _ in range(35)]
        use = [Day(2.0 * each * chance.gauss(1, 0.15), each) for each in cold]
        found = expected(use[:28], 7, sum(cold[28:]))
        assert found is not None
        inside += found.low <= sum(day.kwh for day in use[28:]) <= found.high
    assert inside / 400 == pytest.approx(0.95, abs=0.025)


def test_more_days_make_it_surer() -> None:
    """The same scatter over twice the days narrows the limits."""
    widths = []
    for count in (8, 16, 32):
        found = expected([Day(20.0 + stray, 10.0) for stray in (-2.0, 2.0) * (count // 2)], 7, 70.0)
        assert found is not None
        widths.append(found.high - found.low)
    assert all(later < earlier for earlier, later in pairwise(widths))
