"""Degree days: how cold a day or a month was, counted from a base temperature.

A degree day is one day one kelvin below the base. Energy follows as coefficient times degree days; the base is where
heating is no longer needed (15.5 °C by custom in the United Kingdom), not the temperature that people set.

References
----------
Met Office daily degree-day rules as retold by CIBSE TM41, Degree-days: theory and application, 2006: four cases from
the day's highest and lowest temperature.
Hitchin E. R., Degree-days in Britain, Building Services Engineering Research and Technology 2 (1981), 73:
months from their mean, with k = 0.71 (CIBSE TM41, from memory).
"""

from __future__ import annotations

from math import expm1

#: Base temperature by custom in the United Kingdom [°C], CIBSE TM41.
BASE_C = 15.5
#: Hitchin's constant for the United Kingdom [1/K], CIBSE TM41 (from memory).
HITCHIN_K = 0.71


def degree_days_of_day(highest_c: float, lowest_c: float, base_c: float = BASE_C) -> float:
    """Return the degree days of one day from its highest and lowest temperature [K·d].

    Examples
    --------
    >>> degree_days_of_day(10.0, 4.0)  # below the base all day: base minus mean
    8.5
    >>> degree_days_of_day(18.0, 8.0), degree_days_of_day(25.0, 16.0)
    (3.125, 0.0)
    """
    mean_c = (highest_c + lowest_c) / 2
    if lowest_c >= base_c:
        return 0.0
    if mean_c >= base_c:
        return (base_c - lowest_c) / 4
    if highest_c > base_c:
        return (base_c - lowest_c) / 2 - (highest_c - base_c) / 4
    return base_c - mean_c


def degree_days_of_month(days: int, mean_c: float, base_c: float = BASE_C, k: float = HITCHIN_K) -> float:
    """Return the degree days of a month from its mean temperature, Hitchin [K·d].

    A month whose mean equals the base still has cold days: the limit is ``days / k``.

    Examples
    --------
    >>> degree_days_of_month(31, 4.4)
    344.23
    >>> degree_days_of_month(30, 15.5)
    42.25
    """
    below_k = base_c - mean_c
    if abs(below_k) < 1e-6:
        return days / k
    if k * below_k < -700:  # so warm that the exponential would overflow: nothing is left
        return 0.0
    return days * below_k / -expm1(-k * below_k)


def heating_kwh(loss_w_per_k: float, degree_days: float) -> float:
    """Return the heat that a coefficient loses over some degree days [kWh].

    >>> heating_kwh(190.0, 2463.0)
    11231.28
    """
    return loss_w_per_k * degree_days * 24 / 1000
