"""What every option for a room is held against: its load, its voltages and its days."""

from __future__ import annotations

from dataclasses import dataclass

from ingle.design.running import Day
from ingle.errors import BadInput, Fault
from ingle.model.design import ZoneDesign
from ingle.model.house import House, Zone
from ingle.model.options import Wishes
from ingle.physics.dynamics import capacity_wh_per_k
from ingle.physics.emitters import VOLTAGE_LOW_SHARE, nominal_voltage_v


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What all options of a zone share.

    Load and its upper 95 % limit [W], voltage on site and at the low end of the supply [V], and the two days.
    """

    house: House
    zone: Zone
    load_w: float
    high_w: float
    voltage_v: float
    weak_v: float
    design_day: Day
    ordinary_day: Day

    @property
    def cap_w(self) -> float | None:
        """What the supply's cap would let through if nothing else drew [W]."""
        cap_a = self.house.site.supply_cap_a
        return None if cap_a is None else cap_a * self.voltage_v


def terms_of(house: House, room: ZoneDesign, zone: Zone, wishes: Wishes) -> Terms:
    """Return the terms for a zone.

    Raises
    ------
    BadInput
        Where the wishes contradict each other.
    """
    occupied_c, setback_c = house.level_c(zone, "occupied"), house.level_c(zone, "setback")
    from_c = setback_c if wishes.from_c is None else wishes.from_c
    to_c = occupied_c if wishes.to_c is None else wishes.to_c
    _check(wishes, from_c, to_c)
    capacity = zone.capacity_wh_per_k or capacity_wh_per_k(zone.floor_area_m2, zone.thermal_mass)

    def day(outdoor_c: float, room_c: float, loss_w_per_k: float, warm_up: tuple[float, float]) -> Day:
        return Day(
            outdoor_c=outdoor_c,
            room_c=room_c,
            from_c=warm_up[0],
            to_c=warm_up[1],
            loss_w_per_k=max(0.0, loss_w_per_k),
            capacity_wh_per_k=capacity,
            floor_area_m2=zone.floor_area_m2,
        )

    voltage_v = wishes.voltage_v or house.site.voltage_v
    return Terms(
        house=house,
        zone=zone,
        load_w=float(round(room.heat_loss_w)),
        high_w=float(round(room.high_w)),
        voltage_v=voltage_v,
        weak_v=min(voltage_v, VOLTAGE_LOW_SHARE * nominal_voltage_v(voltage_v)),
        design_day=day(
            house.site.outdoor_here_c,
            zone.design_c,
            room.heat_loss_w_per_k,
            _surveyed(zone, wishes) or (from_c, to_c),
        ),
        ordinary_day=day(wishes.outdoor_c, to_c, room.in_use_w_per_k, (from_c, to_c)),
    )


def _surveyed(zone: Zone, wishes: Wishes) -> tuple[float, float] | None:
    """Return the warm-up that the survey sizes the reheat by, unless another is wished."""
    if zone.warm_up_from_c is None or wishes.from_c is not None or wishes.to_c is not None:
        return None
    return zone.warm_up_from_c, zone.design_c


def _check(wishes: Wishes, from_c: float, to_c: float) -> None:
    """Refuse wishes that contradict each other."""
    faults = []
    if wishes.rating_w is not None and wishes.section_w is not None:
        faults.append(Fault(("section_w",), wishes.section_w, "one of rating_w and section_w, not both"))
    if (wishes.from_c is not None or wishes.to_c is not None) and from_c >= to_c:
        name = "to_c" if wishes.to_c is not None else "from_c"
        warmer = f"a warm-up that ends warmer than it starts; here from {from_c:g} to {to_c:g} °C"
        faults.append(Fault((name,), getattr(wishes, name), warmer))
    if faults:
        raise BadInput(faults)
