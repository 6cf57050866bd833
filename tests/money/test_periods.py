"""Two periods: the same use is no change however long, chance is not taken for change, change is not missed."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ingle.money.periods import CANNOT_SAY, Day, change, per_day, per_degree_day

days_of_use = st.lists(st.floats(0.1, 80), min_size=7, max_size=60)


def use(count: int, kwh: float = 20.0, *, seed: int = 1, spread: float = 4.0, alike: float = 0.0) -> list[Day]:
    """Return days that scatter, each like the one before to some degree."""
    chance = random.Random(seed)  # noqa: S311 - seeded weather and guests, not a secret
    found, deviation = [], chance.gauss(0, spread)
    for _ in range(count):
        found.append(Day(max(0.0, kwh + deviation), 8.0))
        deviation = alike * deviation + chance.gauss(0, spread * (1 - alike**2) ** 0.5)
    return found


def cold(count: int, w_per_k: float, *, seed: int) -> list[Day]:
    """Return days whose use follows how cold they were, with weather and guests by chance."""
    chance = random.Random(seed)  # noqa: S311 - seeded weather and guests, not a secret
    degree_days = [max(0.5, chance.gauss(9, 3)) for _ in range(count)]
    return [Day(w_per_k * 0.024 * each + chance.gauss(0, 1.5), each) for each in degree_days]


def test_28_days_beside_35_of_the_same_use_are_no_change() -> None:
    """420 kWh in 28 days and 525 in 35 are 15 a day each: no change, though the bill is a quarter higher."""
    compared = change(per_day([Day(15.0)] * 28), per_day([Day(15.0)] * 35))
    assert (compared.word, compared.percent) == ("no change", 0.0)


@given(days_of_use)
def test_a_period_beside_itself_is_no_change(kwh: list[float]) -> None:
    """Whatever was used."""
    mean = per_day([Day(each) for each in kwh])
    assert change(mean, mean).word == "no change"


@given(days_of_use, st.floats(1.05, 3.0))
def test_limits_hold_the_change_and_scale(kwh: list[float], factor: float) -> None:
    """The change lies between its limits, and is what was put in."""
    before, after = per_day([Day(each) for each in kwh]), per_day([Day(each * factor) for each in kwh])
    found = change(before, after)
    assert found.percent == pytest.approx(100 * (factor - 1), rel=1e-6)
    assert (found.low_percent or 0) <= (found.percent or 0) <= (found.high_percent or 0)


@pytest.mark.parametrize("alike", [0.0, 0.5, 0.7])
def test_chance_is_rarely_called_a_change(alike: float) -> None:
    """Of 400 pairs of periods with nothing changed, at most 6 % are called changed, also where days resemble the last.

    Seeds 1 to 800, fixed; 5 % is what 95 % limits promise.
    """
    words = [
        change(per_day(use(28, seed=seed, alike=alike)), per_day(use(35, seed=seed + 400, alike=alike))).word
        for seed in range(1, 401)
    ]
    assert sum(word != "no change" for word in words) <= 0.06 * 400


def test_a_change_of_a_third_is_found() -> None:
    """20 kWh a day that become 27: more, in nine of ten pairs at least."""
    words = [change(per_day(use(28, seed=seed)), per_day(use(28, 27.0, seed=seed + 99))).word for seed in range(50)]
    assert words.count("more") >= 45
    assert words.count("less") == 0


def test_per_degree_day_looks_through_the_weather() -> None:
    """The same house in a colder month: more a day, no change a degree day; half as leaky again: more of both.

    In 95 of 100 pairs of months at least, as 95 % limits promise.
    """
    a_day, a_degree_day, leakier = [], [], []
    for seed in range(100):
        mild = cold(30, 120, seed=seed)
        hard = [Day(each.kwh * 1.6, (each.degree_days or 0) * 1.6) for each in cold(30, 120, seed=seed + 100)]
        a_day.append(change(per_day(mild), per_day(hard)).word)
        a_degree_day.append(change(per_degree_day(mild), per_degree_day(hard)).word)
        leakier.append(change(per_degree_day(mild), per_degree_day(cold(30, 180, seed=seed + 200))).word)
    assert a_day.count("more") >= 95
    assert a_degree_day.count("no change") >= 95
    assert leakier.count("more") >= 95


def test_the_ratio_is_that_of_the_sums() -> None:
    """120 W/K are 2.88 kWh per degree day."""
    mean = per_degree_day(cold(60, 120, seed=4))
    assert mean is not None
    assert mean.value == pytest.approx(2.88, rel=0.03)
    assert 0 < mean.error < 0.1


@pytest.mark.parametrize("few", [[], [Day(20.0, 9.0)] * 6])
def test_a_few_days_say_nothing(few: list[Day]) -> None:
    """Under a week there is no telling chance from change."""
    assert change(per_day(few), per_day([Day(20.0)] * 28)) == CANNOT_SAY
    assert change(per_day([Day(20.0)] * 28), per_day(few)) == CANNOT_SAY


def test_summer_has_no_use_per_degree_day() -> None:
    """Where it was hardly ever cold, dividing by cold says nothing; nor where nobody measured it."""
    assert per_degree_day([Day(3.0, 0.2)] * 30) is None
    assert per_degree_day([Day(3.0)] * 30) is None


def test_correlated_days_are_worth_fewer() -> None:
    """The same scatter, smoothly drifting, leaves the mean less certain than scatter without memory."""
    drifting = [Day(20.0 + 4 * (1 if n % 28 < 14 else -1)) for n in range(28)]
    jumping = [Day(20.0 + 4 * (1 if n % 2 else -1)) for n in range(28)]
    slow, quick = per_day(drifting), per_day(jumping)
    assert slow is not None
    assert quick is not None
    assert slow.error > 2 * quick.error
    assert all(one != other for one, other in pairwise(jumping))
