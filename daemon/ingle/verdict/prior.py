"""What the survey says before the first reading, as Gaussian priors.

The spreads are wide: they only have to keep what the readings cannot tell apart from running away. Where no source is
named, the figure is common practice.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from ingle.model.design import Design
from ingle.model.house import House, Use, Zone
from ingle.physics.dynamics import capacity_wh_per_k
from ingle.verdict.sunshine import UNLISTED_M2_PER_M2, glass_m2

#: The coefficient itself: relative spread; its tails are heavy, so that even three times the design is believed.
LOSS_SPREAD: Final = 0.75
#: A surveyed party element: relative spread, for a door that stands open for hours doubles it.
#: A link nobody surveyed starts from nothing [W/K].
LINK_SPREAD: Final = 1.0
UNSURVEYED_SPREAD_W_PER_K: Final = 15.0
#: Unmetered heat of people, lights and appliances [W/m²], mean and spread. ISO 13790:2008 Table G.8 gives 9 for
#: living rooms with kitchens and 3 for the rest of a dwelling (from memory); rooms measured one by one have less.
GAINS_W_PER_M2: Final[dict[Use, tuple[float, float]]] = {
    "kitchen": (5.0, 3.0),
    "living": (3.3, 1.8),
    "dining": (2.5, 1.5),
    "bedroom": (3.5, 1.6),
    "office": (4.0, 2.2),
    "bath": (2.0, 1.5),
    "utility": (3.0, 2.2),
    "workshop": (3.0, 2.2),
}
OTHER_GAINS: Final = (1.8, 1.5)
#: People and appliances never give the same heat two days running: their day-to-day spread is at least about a
#: third of their mean. A room whose balance repeats to the watt therefore holds no such gains.
GAINS_DAILY_SPREAD: Final = 0.35
#: A design without limits, and the best that a survey does: relative standard errors.
UNSAID_SPREAD: Final = 0.05
BEST_SPREAD: Final = 0.03
#: Constant error of a thermometer [K], indoors and out alike.
SENSOR_K: Final = 0.25
#: The soil is not as cold as the air; how far apart they are over weeks [K].
SOIL_K: Final = 2.5
#: Sensors' and people's noise before any reading, as a share of the mean power.
NOISE_SHARE: Final = 0.05
#: Two terms are a rough picture of how a room stores heat; what they miss, as a share of the heat stored in a day.
STORAGE_SHARE: Final = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPrior:
    """One room: coefficient [W/K], share of it that goes to the soil, capacity [Wh/K], gains [W], sun."""

    loss_w_per_k: float
    design_spread: float
    ground_share: float
    capacity_wh_per_k: float
    gains_w: float
    gains_spread_w: float
    sun: float
    sun_spread: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkPrior:
    """Heat between two rooms [W/K]."""

    zones: tuple[str, str]
    w_per_k: float
    spread_w_per_k: float


def design_of(zone: Zone, design: Design) -> tuple[float, float, float] | None:
    """Return what metering is compared with and its 95 % limits [W/K], or None where the survey gives nothing."""
    found = design.zone(zone.id)
    value = zone.given_w_per_k or (found.in_use_w_per_k if found is not None else 0.0)
    if value <= 0:
        return None
    if found is None or found.in_use_low_w_per_k <= 0 or not found.in_use_low_w_per_k <= value:
        return value, value, value
    return value, found.in_use_low_w_per_k, max(found.in_use_high_w_per_k, value)


def design_spread(value: float, low: float, high: float) -> float:
    """Return the design's relative standard error from its 95 % limits.

    Where nobody gave limits, what a careful survey knows a room to: about 5 %. Limits that inputs' provenance gives are
    taken at their word, down to a survey's best, 3 % (both common practice).

    >>> design_spread(40.0, 40.0, 40.0), design_spread(40.0, 30.0, 55.0), design_spread(40.0, 39.5, 40.5)
    (0.05, 0.155, 0.03)
    """
    if not 0 < low < high or value <= 0:
        return UNSAID_SPREAD
    return max(BEST_SPREAD, float(np.log(high / low)) / (2 * 1.96))


def room_prior(zone: Zone, design: Design) -> RoomPrior | None:
    """Return a room's prior, or None where the survey gives no coefficient."""
    limits = design_of(zone, design)
    if limits is None:
        return None
    value = limits[0]
    found = design.zone(zone.id)
    ground = zone.ground_share if zone.given_w_per_k else None
    if ground is None and found is not None and zone.given_w_per_k is None:
        ground = found.ground_w_per_k / value
    gains, spread = GAINS_W_PER_M2.get(zone.use, OTHER_GAINS)
    glass = sum(glass_m2(element) for element in zone.elements)
    unlisted = UNLISTED_M2_PER_M2 * zone.floor_area_m2
    return RoomPrior(
        loss_w_per_k=value,
        design_spread=design_spread(*limits),
        ground_share=min(max(ground or 0.0, 0.0), 1.0),
        capacity_wh_per_k=zone.capacity_wh_per_k or capacity_wh_per_k(zone.floor_area_m2, zone.thermal_mass),
        gains_w=gains * zone.floor_area_m2,
        gains_spread_w=spread * zone.floor_area_m2,
        sun=1.0 if glass > 0 else 0.0,
        sun_spread=0.5 if glass > 0 else unlisted,
    )


def link_priors(house: House, surveyed: Mapping[tuple[str, str], float]) -> tuple[LinkPrior, ...]:
    """Return the links between rooms: those surveyed [W/K, keyed by sorted ids], and the neighbours only named."""
    found = {
        pair: LinkPrior(zones=pair, w_per_k=value, spread_w_per_k=max(LINK_SPREAD * value, 1.0))
        for pair, value in surveyed.items()
    }
    for zone in house.zones:
        for other in zone.neighbours:
            pair = (min(zone.id, other), max(zone.id, other))
            known = found.get(pair)
            if known is None:
                found[pair] = LinkPrior(zones=pair, w_per_k=0.0, spread_w_per_k=UNSURVEYED_SPREAD_W_PER_K)
    return tuple(found.values())
