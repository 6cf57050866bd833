"""How fast a room warms and cools: one heat store behind one conductance, in closed form.

Real rooms have two speeds (air and furniture within the hour, walls over a day); one store is a fair guide for
warm-ups of some hours and no more. Capacities by class: ISO 13790:2008, Table 12.
"""

from __future__ import annotations

from math import exp, expm1, log
from typing import Literal

# Internal heat capacity per floor area [kJ/(m²·K)], ISO 13790:2008 Table 12.
CAPACITY_KJ_PER_M2K: dict[str, float] = {
    "very-light": 80.0,
    "light": 110.0,
    "medium": 165.0,
    "heavy": 260.0,
    "very-heavy": 370.0,
}


def capacity_wh_per_k(
    floor_area_m2: float, mass: Literal["very-light", "light", "medium", "heavy", "very-heavy"]
) -> float:
    """Return a room's heat capacity by its class [Wh/K] (ISO 13790:2008, Table 12).

    >>> capacity_wh_per_k(12, "medium")
    550.0
    """
    return CAPACITY_KJ_PER_M2K[mass] * floor_area_m2 / 3.6


def time_constant_h(capacity_wh_per_k: float, heat_loss_w_per_k: float) -> float:
    """Return τ = C / H [h].

    >>> round(time_constant_h(550, 39.57), 1)
    13.9
    """
    return capacity_wh_per_k / heat_loss_w_per_k


def settled_c(outdoor_c: float, power_w: float, heat_loss_w_per_k: float) -> float:
    """Return the temperature that a steady power ends at [°C]: θe + P/H.

    >>> round(settled_c(3, 506, 38), 1)
    16.3
    """
    return outdoor_c + power_w / heat_loss_w_per_k


def temperature_after(start_c: float, end_c: float, tau_h: float, hours: float) -> float:
    """Return the temperature after a time on the way from ``start_c`` to the settled ``end_c`` [°C].

    >>> round(temperature_after(21, 0, 13.899, 3.78), 1)
    16.0
    """
    return end_c + (start_c - end_c) * exp(-hours / tau_h)


def hours_to_reach(start_c: float, wanted_c: float, end_c: float, tau_h: float) -> float | None:
    """Return how long a room takes from one temperature to another on its way to ``end_c`` [h]; None if never.

    Warming and cooling alike: t = τ ln((θ∞ - θ0) / (θ∞ - θ1)). There is no finite answer when the wanted temperature
    lies at or beyond the settled one, or on the other side of the start.

    Examples
    --------
    >>> round(hours_to_reach(16, 21, 50.54, 13.899), 2)
    2.17
    >>> hours_to_reach(16, 21, 20.2, 13.899) is None
    True
    """
    if wanted_c == start_c:
        return 0.0
    ahead, left = end_c - start_c, end_c - wanted_c
    if ahead == 0 or left / ahead <= 0 or left / ahead > 1:
        return None
    return tau_h * log(ahead / left)


def reheat_for_warm_up_w(heat_loss_w_per_k: float, capacity_wh_per_k: float, rise_k: float, hours: float) -> float:
    """Return the power beyond the steady loss that warms a room by ``rise_k`` in ``hours`` [W].

    Turned round from ``hours_to_reach``: at a constant power that settles a little above the wanted temperature,
    P - H (θ1-θe) = H (θ1-θ0) / (exp(t H/C) - 1); for H towards 0, or in the hands of warmer neighbours, all of it
    goes into the store: C (θ1-θ0) / t.

    Parameters
    ----------
    heat_loss_w_per_k
        H at design [W/K]; at or below 0 counts as 0.
    capacity_wh_per_k
        C [Wh/K].
    rise_k, hours
        θ1-θ0 [K], at or below 0 needs nothing; t [h], above 0.

    Examples
    --------
    The room that 2 kW warms from 16 to 21 °C in 2.173 h at 0 °C outside needs 2000 - 39.57 x 21 = 1169 W for it.

    >>> round(reheat_for_warm_up_w(39.57, 550, 5, 2.173))
    1169
    >>> reheat_for_warm_up_w(0, 550, 5, 2)
    1375.0
    """
    if rise_k <= 0:
        return 0.0
    stored = capacity_wh_per_k * rise_k / hours
    ratio = hours * heat_loss_w_per_k / capacity_wh_per_k
    if ratio < _LEAST_RATIO:
        return stored
    return 0.0 if ratio > _MOST_RATIO else stored * ratio / expm1(ratio)


# Beyond these x / (e^x - 1) is 1 or 0 to all figures, and the exponential would leave the range of numbers.
_LEAST_RATIO, _MOST_RATIO = 1e-9, 700.0
