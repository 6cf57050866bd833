"""The extra power of a room that has to warm up again: by the survey's W/m², or by the time that it may take."""

from __future__ import annotations

from ingle.design.sheet import Figure
from ingle.model.house import Zone
from ingle.physics.dynamics import capacity_wh_per_k, reheat_for_warm_up_w
from ingle.physics.heat_loss import reheat_w


def reheat(zone: Zone, heat_loss_w_per_k: float) -> Figure:
    """Return a zone's reheat [W] at its design coefficient [W/K]."""
    if zone.warm_up_h is None or zone.warm_up_from_c is None:
        return Figure(
            reheat_w(zone.floor_area_m2, zone.reheat_w_per_m2),
            "W",
            {"floor_area_m2": zone.floor_area_m2, "reheat_w_per_m2": zone.reheat_w_per_m2},
            "A_floor·q",
            "EN 12831-1:2017, 6.3.4; q: survey",
        )
    capacity = zone.capacity_wh_per_k or capacity_wh_per_k(zone.floor_area_m2, zone.thermal_mass)
    origin = "survey" if zone.capacity_wh_per_k else f"ISO 13790:2008, Table 12, {zone.thermal_mass}"
    return Figure(
        reheat_for_warm_up_w(heat_loss_w_per_k, capacity, zone.design_c - zone.warm_up_from_c, zone.warm_up_h),
        "W",
        {
            "warm_up_h": zone.warm_up_h,
            "from_c": zone.warm_up_from_c,
            "inside_c": zone.design_c,
            "capacity_wh_per_k": capacity,
            "heat_loss_w_per_k": heat_loss_w_per_k,
        },
        "H (θi-θ0) / (exp(t·H/C) - 1)",
        f"one store, closed form; C: {origin}",
    )
