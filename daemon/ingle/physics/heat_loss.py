"""Pieces of a room's design heat load (EN 12831-1:2017, and the simpler method of UK domestic practice).

Each piece is a conductance to the outdoor-equivalent temperature [W/K]: heat flow over the *full* difference between
inside and outdoor design temperature. What lies behind an element at some other temperature sees a **share** of that
difference: 1 for outdoors, less for an unheated space, negative for a warmer neighbour.

Two methods, told apart by two numbers:

* ``en12831``: 0.34 Wh/(m³·K) for air, and 1.45 x the ground's transmittance on the annual mean outdoor temperature.
* ``domestic``: 0.33 Wh/(m³·K), and the ground at the full difference.
"""

from __future__ import annotations

from typing import Literal

Method = Literal["en12831", "domestic"]

# Heat capacity of air per volume [Wh/(m³·K)]. 0.34 is EN 12831-1:2017's constant; 0.33 = 1.2 kg/m³ x 1000 J/(kg·K)
# / 3600 s/h, as in UK domestic practice and SAP 2012 section 3. They differ by 3 %: the working prints which.
AIR_WH_PER_M3K: dict[Method, float] = {"en12831": 0.34, "domestic": 0.33}

# f_θann of EN 12831-1:2017, 6.3.2.5: what the seasonal swing adds to the flow driven by the annual mean.
GROUND_SWING = 1.45
# f_GW of EN 12831-1:2017, 6.3.2.5: water less than a metre below the floor carries heat away.
GROUND_WATER, GROUND_WATER_NEAR_M = 1.15, 1.0


def transmission_w_per_k(area_m2: float, u_w_per_m2k: float, share: float = 1.0) -> float:
    """Return A·U·f [W/K] (EN 12831-1:2017, 6.3.2).

    >>> transmission_w_per_k(5 * 2.4, 1.7)
    20.4
    """
    return area_m2 * u_w_per_m2k * share


def share_of_difference(inside_c: float, beyond_c: float, outdoor_c: float) -> float:
    """Return the share of the full temperature difference that a space at ``beyond_c`` leaves; negative if warmer.

    Examples
    --------
    >>> share_of_difference(21, 18, -3)
    0.125
    """
    return (inside_c - beyond_c) / (inside_c - outdoor_c)


def ground_share(inside_c: float, outdoor_mean_c: float, outdoor_c: float) -> float:
    """Return EN 12831-1's factor of the ground's transmittance: 1.45 (θi - θm) / (θi - θe).

    Examples
    --------
    >>> round(ground_share(21, 10, -3), 4)
    0.6646
    """
    return GROUND_SWING * share_of_difference(inside_c, outdoor_mean_c, outdoor_c)


def ground_water_factor(depth_m: float | None) -> float:
    """Return what ground water that far below a floor multiplies its flow by (EN 12831-1:2017, 6.3.2.5).

    Where nobody knows how deep it lies, it is taken as deep.

    >>> ground_water_factor(0.6), ground_water_factor(1.0), ground_water_factor(None)
    (1.15, 1.0, 1.0)
    """
    return GROUND_WATER if depth_m is not None and depth_m < GROUND_WATER_NEAR_M else 1.0


def ventilation_w_per_k(air_wh_per_m3k: float, air_changes_per_h: float, volume_m3: float) -> float:
    """Return the conductance of outdoor air passing through [W/K].

    >>> round(ventilation_w_per_k(0.33, 1.0, 58.5), 3)
    19.305
    """
    return air_wh_per_m3k * air_changes_per_h * volume_m3


# Rooms from this height on are reckoned with warmer air above, and where people are in them (EN 12831-1:2017, B.2.6).
HIGH_ROOM_M = 4.0
OCCUPIED_M = 1.0


def rise_at_height_k(gradient_k_per_m: float, height_m: float) -> float:
    """Return how much warmer than where people are a high room is at a height [K] (EN 12831-1:2017, B.2.6).

    >>> rise_at_height_k(1.0, 7.5), rise_at_height_k(0.35, 0.0)
    (6.5, -0.35)
    """
    return gradient_k_per_m * (height_m - OCCUPIED_M)


def reheat_w(floor_area_m2: float, reheat_w_per_m2: float) -> float:
    """Return the extra power to warm up again after a setback [W] (EN 12831-1:2017, 6.3.4).

    >>> round(reheat_w(25.42, 12))
    305
    """
    return floor_area_m2 * reheat_w_per_m2
