"""Two periods compared fairly: per day and per degree day, and whether the difference is more than chance.

A longer bill is no higher use and a colder month no worse house, so use is divided by days and by degree days first.
What is left still moves from day to day: guests come and go, the sun shines. A mean over n days is uncertain by
s/√n, and by more where one day is like the day before; with lag-one correlation r the n days are worth
n·(1 - r)/(1 + r) independent ones. A difference counts as one when its 95 % interval leaves zero and it is at least
2 % (our choice: less is not worth a person's time, and about what household meters may be wrong by). The division by
degree days is a ratio of sums; its uncertainty comes from what the straight line through zero leaves unexplained.

References
----------
Wilks D. S., Statistical Methods in the Atmospheric Sciences: effective sample size of correlated days (from memory).
Cochran W. G., Sampling Techniques, 1977, chapter 6: variance of a ratio (from memory).
Welch B. L., Biometrika 34 (1947), 28-35: degrees of freedom of a difference.
Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5: quantiles of Student's t.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import sqrt
from typing import Final, Literal, NamedTuple

from msgspec import Struct

Word = Literal["more", "less", "no change", "cannot say"]

#: The fewest days of a period that chance can be told from.
FEWEST_DAYS: Final = 7
#: What is no change worth a word.
WORTH: Final = 0.02
#: With fewer degree days a day it is not the cold that energy goes into [K·d/d].
COLD_A_DAY: Final = 1.0
#: Days are never taken for more alike than this.
_MOST_ALIKE: Final = 0.9


class Day(NamedTuple):
    """What was used on a day [kWh] and how cold it was [K·d], None where that is not known."""

    kwh: float
    degree_days: float | None = None


class Mean(NamedTuple):
    """A mean with its standard error and the degrees of freedom behind that."""

    value: float
    error: float
    freedom: float


class Change(Struct, frozen=True, kw_only=True):
    """How one figure compares: the change in per cent with its 95 % limits, and the word for it; null: cannot say."""

    word: Word
    percent: float | None
    low_percent: float | None
    high_percent: float | None


CANNOT_SAY: Final = Change(word="cannot say", percent=None, low_percent=None, high_percent=None)


def per_day(days: Sequence[Day]) -> Mean | None:
    """Return the mean use of a day [kWh]; None where there are no days.

    >>> per_day([Day(8.0), Day(12.0)] * 7).value
    10.0
    """
    if not days:
        return None
    mean = sum(day.kwh for day in days) / len(days)
    return _mean(mean, [day.kwh - mean for day in days], 1.0)


def per_degree_day(days: Sequence[Day]) -> Mean | None:
    """Return the use per degree day [kWh/(K·d)] over the days whose cold is known; None where it was hardly cold.

    >>> per_degree_day([Day(8.0, 4.0), Day(12.0, 6.0)] * 7).value
    2.0
    """
    known = [(day.kwh, day.degree_days) for day in days if day.degree_days is not None]
    cold = sum(degree_days for _, degree_days in known)
    if not known or cold < COLD_A_DAY * len(known):
        return None
    ratio = sum(kwh for kwh, _ in known) / cold
    return _mean(ratio, [kwh - ratio * degree_days for kwh, degree_days in known], len(known) / cold)


def change(before: Mean | None, after: Mean | None) -> Change:
    """Return how a figure changed from one period to another.

    >>> steady = per_day([Day(8.0), Day(12.0)] * 14)
    >>> change(steady, per_day([Day(8.0), Day(12.0)] * 17)).word
    'no change'
    """
    if before is None or after is None or before.value <= 0 or min(before.freedom, after.freedom) <= 0:
        return CANNOT_SAY
    moved = after.value - before.value
    error = sqrt(before.error**2 + after.error**2)
    reach = error * _student(_freedom(before, after)) if error > 0 else 0.0
    percent, low, high = (100 * each / before.value for each in (moved, moved - reach, moved + reach))
    counts = abs(percent) >= 100 * WORTH and (low > 0 or high < 0)
    word: Word = "no change" if not counts else "more" if percent > 0 else "less"
    return Change(word=word, percent=percent, low_percent=low, high_percent=high)


def _mean(value: float, residuals: Sequence[float], scale: float) -> Mean:
    """Return a mean whose error follows from what each day deviates by; too few days leave no degree of freedom."""
    count = len(residuals)
    if count < FEWEST_DAYS:
        return Mean(value, 0.0, 0.0)
    squares = sum(each * each for each in residuals)
    alike = 0.0
    if squares > 0:
        follow = sum(a * b for a, b in pairwise(residuals)) / squares
        # The sample's own mean makes neighbours look less alike than they are, by about this much.
        alike = min(_MOST_ALIKE, max(0.0, follow + (1 + 3 * max(0.0, follow)) / count))
    effective = max(2.0, count * (1 - alike) / (1 + alike))
    return Mean(value, sqrt(squares / (count - 1) / effective) * scale, effective - 1)


def _freedom(before: Mean, after: Mean) -> float:
    """Return the degrees of freedom of a difference (Welch)."""
    first, second = before.error**2, after.error**2
    return (first + second) ** 2 / (first**2 / before.freedom + second**2 / after.freedom)


def _student(freedom: float) -> float:
    """Return the two-sided 95 % quantile of Student's t.

    >>> round(_student(10.0), 2), round(_student(1e9), 2)
    (2.23, 1.96)
    """
    z = 1.959964
    if freedom < 3:
        return 12.706 if freedom < 2 else 4.303  # tabulated for 1 and 2; the series is poor there
    first = (z**3 + z) / (4 * freedom)
    second = (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)
    return z + first + second
