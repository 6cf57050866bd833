"""What a room will take, by what it took lately: so many kWh a degree day, or a day where it was hardly cold.

The use of the coming days is the recent ratio times the degree days to come; its limits hold what the ratio is
uncertain by and what single days stray by. They do not hold the weather: that is stated, and scored apart. Plain on
purpose: a household can follow it on paper, and a score of it means something.

References
----------
Degree-day prediction of use: CIBSE TM41, Degree-days: theory and application, 2006. Prediction interval of a ratio
estimate: Cochran W. G., Sampling Techniques, 1977, chapter 6 (from memory). Quantiles: Abramowitz and Stegun, Handbook
of Mathematical Functions, 26.7.5.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import Final, Literal, NamedTuple

from ingle.money.periods import FEWEST_DAYS, Day, Mean, per_day, per_degree_day

#: The two-sided 95 % quantile of the normal distribution.
_Z: Final = 1.96


class Expected(NamedTuple):
    """Use to come with its limits [kWh], and by which method."""

    kwh: float
    low: float
    high: float
    method: Literal["degree-days", "days"]


def expected(lately: Sequence[Day], days: int, degree_days: float | None) -> Expected | None:
    """Return the use of some days to come; None where fewer than a week of days is known.

    Parameters
    ----------
    lately
        Days known whole, each with its degree days where those are known.
    days
        How many are to come.
    degree_days
        Theirs in all [K·d]; None where nobody says, and then the mean day is taken.

    Examples
    --------
    20 kWh on days of 10 K·d are 2 kWh a degree day; seven days of 8 K·d take 112:

    >>> found = expected([Day(20.0, 10.0), Day(22.0, 11.0)] * 7, 7, 56.0)
    >>> round(found.kwh), found.method
    (112, 'degree-days')
    >>> round(expected([Day(3.0, 0.0), Day(5.0, 0.2)] * 7, 7, 56.0).kwh), expected([Day(3.0)] * 6, 7, None)
    (28, None)
    """
    by_cold = per_degree_day(lately)
    cold = [day for day in lately if day.degree_days is not None]
    if by_cold is not None and len(cold) >= FEWEST_DAYS and degree_days is not None:
        strays = [day.kwh - by_cold.value * (day.degree_days or 0.0) for day in cold]
        return _limits(by_cold, degree_days, days, strays, "degree-days")
    by_day = per_day(lately)
    if by_day is None or len(lately) < FEWEST_DAYS:
        return None
    return _limits(by_day, float(days), days, [day.kwh - by_day.value for day in lately], "days")


def _limits(
    mean: Mean, times: float, days: int, strays: Sequence[float], method: Literal["degree-days", "days"]
) -> Expected:
    """Return a mean so many times over, with what it and single days are uncertain by."""
    kwh = mean.value * times
    day_variance = sum(stray * stray for stray in strays) / max(1, len(strays) - 1)
    reach = _student(len(strays) - 1) * sqrt((mean.error * times) ** 2 + days * day_variance)
    return Expected(kwh, max(0.0, kwh - reach), kwh + reach, method)


def _student(freedom: int) -> float:
    """Return the two-sided 95 % quantile of Student's t, within 4 % from 6 degrees of freedom on.

    >>> round(_student(27), 2), round(_student(6), 2)
    (2.05, 2.36)
    """
    return _Z + (_Z**3 + _Z) / (4 * max(6, freedom))


def error_percent(said: float, was: float) -> float | None:
    """Return by how much what was said was off, in per cent of what was; None where nothing was.

    >>> round(error_percent(24.10, 25.75), 1), error_percent(1.0, 0.0)
    (-6.4, None)
    """
    return None if was <= 0 else (said / was - 1) * 100
