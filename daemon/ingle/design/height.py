"""High rooms: air under the ceiling is warmer than where people are, so roof and upper wall lose more, the floor less.

From 4 m on (EN 12831-1:2017, B.2.6), by the gradient of the way of heating: radiators and fan heaters about 1.0 K/m,
radiant heaters 0.3 to 0.6, a warm floor 0.2 (from memory). Roofs count at full height, floors at the foot, all else
and the air at half. Pieces between two rooms are left as they are, so that what one loses the other gains.
"""

from __future__ import annotations

from collections.abc import Iterable

from ingle.design.sheet import Figure
from ingle.model.envelope import ElementKind
from ingle.model.house import Zone
from ingle.physics.heat_loss import HIGH_ROOM_M, rise_at_height_k

_TOP, _FOOT = frozenset({"roof", "rooflight"}), frozenset({"floor", "ground-floor"})


def is_high(zone: Zone) -> bool:
    """Whether a zone counts as high."""
    return zone.mean_height_m >= HIGH_ROOM_M


def high_room(zone: Zone, flows: Iterable[tuple[ElementKind, float]], air_w_per_k: float, full_k: float) -> Figure:
    """Return what a zone's height adds to its coefficient [W/K].

    Parameters
    ----------
    zone
        The zone.
    flows
        What each degree more inside drives through its elements, by their kind [W/K].
    air_w_per_k
        The same of its air [W/K].
    full_k
        The difference at design [K]; at or below 0 nothing is added.
    """
    gradient, height = zone.air_gradient_k_per_m, zone.mean_height_m
    if gradient is None or not is_high(zone) or full_k <= 0 or zone.given_w_per_k is not None:
        return Figure(0.0, "W/K", {}, "not high, or no gradient", "survey")
    watts = air_w_per_k * rise_at_height_k(gradient, height / 2)
    for kind, flow in flows:
        at = height if kind in _TOP else 0.0 if kind in _FOOT else height / 2
        watts += flow * rise_at_height_k(gradient, at)
    return Figure(
        watts / full_k,
        "W/K",
        {"gradient_k_per_m": gradient, "height_m": height, "full_k": full_k, "extra_w": watts},
        "Σ H·G (z - 1 m) / (θi-θe)",
        "EN 12831-1:2017, 6.3.2 and B.2.6",
    )
