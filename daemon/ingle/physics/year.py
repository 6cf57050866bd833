"""A heating year: degree days at any base, from a standard year or a local total.

The standard year gives degree days by month at one base. Turned round through Hitchin's formula they give each month's
mean temperature, and those give degree days at every base. Against the published totals of the same year at two other
bases this is 2.4 % low (base 10 °C) and 1.1 % high (18.5 °C).

References
----------
Degree days by month, base 15.5 °C, of a twenty-year standard year for the United Kingdom: vesma.com, std-year.
Hitchin's formula: see ``weather``.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Final

from ingle.physics.weather import BASE_C, degree_days_of_month

MONTH_DAYS: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
#: Degree days by month, January first, base 15.5 °C [K·d].
STANDARD_YEAR_KD: Final = (395, 342, 297, 233, 151, 77, 42, 45, 83, 177, 275, 346)
#: What they add up to [K·d].
STANDARD_KD: Final = 2463.0
_COLDEST_C, _WARMEST_C = -40.0, 60.0
_HALVINGS: Final = 60


def degree_days_of_year(base_c: float, total_kd: float = STANDARD_KD) -> float:
    """Return a year's degree days at a base [K·d].

    Parameters
    ----------
    base_c
        Below which heat is needed [°C].
    total_kd
        The place's own degree days at base 15.5 °C [K·d]; its months are those of the standard year, all warmer or
        colder by as much as gives that total.

    Examples
    --------
    >>> round(degree_days_of_year(15.5)), round(degree_days_of_year(18.5)), round(degree_days_of_year(15.5, 3000))
    (2463, 3458, 3000)
    """
    means = _month_means(total_kd)
    return sum(degree_days_of_month(days, mean, base_c) for days, mean in zip(MONTH_DAYS, means, strict=True))


@cache
def _month_means(total_kd: float) -> tuple[float, ...]:
    """Return the mean temperature of each month of a year of that total [°C]."""
    standard = tuple(_mean(days, kd) for days, kd in zip(MONTH_DAYS, STANDARD_YEAR_KD, strict=True))
    shift = _halve(
        lambda by: sum(degree_days_of_month(days, mean + by) for days, mean in zip(MONTH_DAYS, standard, strict=True)),
        total_kd,
    )
    return tuple(mean + shift for mean in standard)


def _mean(days: int, kd: float) -> float:
    """Return the mean temperature of a month of so many degree days at the usual base [°C]."""
    return _halve(lambda mean: degree_days_of_month(days, mean, BASE_C), kd)


def _halve(falling: Callable[[float], float], wanted: float) -> float:
    """Return where a falling function of a temperature has a value."""
    low, high = _COLDEST_C, _WARMEST_C
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if falling(middle) > wanted else (low, middle)
    return (low + high) / 2
