"""House to Design: every room worked out, banded and looked over, and the house's total."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from msgspec.structs import replace

from ingle.design.beside import beside
from ingle.design.narrowing import measure_first, ranked
from ingle.design.nearby import nearby
from ingle.design.notes import notes
from ingle.design.parts import parts
from ingle.design.room import Room, room
from ingle.design.sanity import look_over, warnings
from ingle.design.sheet import tidy
from ingle.design.spaces import settled, space_design
from ingle.design.typical import filled
from ingle.design.uncertainty import Bands, bands, total_band
from ingle.design.version import design_version
from ingle.design.week import week
from ingle.design.working import working
from ingle.design.year import told_by, year
from ingle.model.design import Design, Finding, YearHeat, ZoneDesign
from ingle.model.house import House
from ingle.physics.air_change import air_at_once


def design_house(house: House, only: str | None = None) -> Design:
    """Return the design of a house.

    Takes every house that ``config`` accepts. The total is the sum of the rooms without the flows between them; each
    room's air is counted in full, so it is what the heaters need together at worst, not what one chimney of air
    through the whole house would take.

    Parameters
    ----------
    house
        The house as surveyed.
    only
        The id of the only zone to work out in full, for who changes one room of a large house: the total then is the
        whole house's all the same, while what is said of it as a whole - its band, year and notes - is left out.

    Returns
    -------
    Design
        Heat loss of each room at design [W], its coefficients [W/K], its band, sheet and warnings.
    """
    house = filled(house)
    around = nearby(house)
    rooms = {zone.id: room(around[zone.id], zone) for zone in house.zones}
    shown = rooms if only is None else {only: rooms[only]}
    limits = bands(around, shown)
    found = look_over(house, around, rooms, shown)
    zones = tuple(
        _with_year(house, _zone_design(around[zone_id], each, limits[zone_id], found.zones[zone_id]))
        for zone_id, each in shown.items()
    )
    spaces = settled(house)
    whole = Design(
        design_version=design_version(house),
        method=house.site.method,
        outdoor_design_c=house.site.outdoor_here_c,
        zones=zones,
        spaces=tuple(space_design(house, each, spaces) for each in spaces.values()),
        total_w=tidy(_total_w(rooms.values())),
        one_source_w=tidy(_total_w(rooms.values()) - _air_not_at_once_w(rooms.values())),
        findings=found.site,
    )
    return whole if only is not None else _summed(house, whole, limits)


def _summed(house: House, whole: Design, limits: dict[str, Bands]) -> Design:
    """Return a design with what is said of all of its rooms together."""
    total = total_band(whole.total_w, limits.values())
    said = [each.sentence for each in whole.findings]
    return replace(
        whole,
        total_low_w=tidy(total.low),
        total_high_w=tidy(total.high),
        year=_sum([zone.year for zone in whole.zones if zone.year is not None]),
        notes=(*said, *notes(house, {zone.id: zone.inputs for zone in whole.zones})),
    )


def _total_w(rooms: Collection[Room]) -> float:
    """Return the sum of rooms without the flows between them [W]."""
    return sum(each.heat_loss_w - each.links_w for each in rooms)


def _air_not_at_once_w(rooms: Collection[Room]) -> float:
    """Return what of the rooms' outdoor air does not come in at once [W]."""
    return (1 - air_at_once(len(rooms))) * sum(each.air_w_per_k * each.full_k for each in rooms)


def _with_year(house: House, zone: ZoneDesign) -> ZoneDesign:
    """Return a room with its year of heat, where the house says how cold its years are."""
    surveyed = house.zone(zone.id)
    if surveyed is None or not told_by(house.site):
        return zone
    kwh = year(house, zone, week(house, surveyed)).kwh
    return replace(zone, year=YearHeat(low_kwh=kwh.low, mid_kwh=kwh.mid, high_kwh=kwh.high))


def _sum(years: Sequence[YearHeat]) -> YearHeat | None:
    """Return a house's year: its rooms share one weather and one surveyor, so their limits add up."""
    if not years:
        return None
    return YearHeat(
        low_kwh=tidy(sum(each.low_kwh for each in years)),
        mid_kwh=tidy(sum(each.mid_kwh for each in years)),
        high_kwh=tidy(sum(each.high_kwh for each in years)),
    )


def _zone_design(near: House, each: Room, limits: Bands, findings: tuple[Finding, ...]) -> ZoneDesign:
    inputs = ranked(near, each, limits)
    return ZoneDesign(
        id=each.zone.id,
        name=each.zone.name,
        design_c=each.zone.design_c,
        fabric_w_per_k=tidy(each.fabric_w_per_k),
        bridges_w_per_k=tidy(each.bridges_w_per_k),
        ventilation_w_per_k=tidy(each.ventilation_w_per_k),
        high_room_w_per_k=tidy(each.high.value),
        heat_loss_w_per_k=tidy(each.heat_loss_w_per_k),
        in_use_w_per_k=tidy(each.in_use_w_per_k),
        in_use_low_w_per_k=tidy(limits.in_use_w_per_k.low),
        in_use_high_w_per_k=tidy(limits.in_use_w_per_k.high),
        ground_w_per_k=tidy(each.ground_w_per_k),
        reheat_w=tidy(each.reheat_w),
        heat_loss_w=tidy(each.heat_loss_w),
        low_w=tidy(limits.heat_loss_w.low),
        high_w=tidy(limits.heat_loss_w.high),
        installed_w=tidy(sum(heater.rated_w for heater in each.zone.heaters)),
        working=working(near, each, limits),
        warnings=warnings(near, each, findings),
        parts=parts(near, each),
        inputs=inputs,
        measure_first=measure_first(limits.heat_loss_w, inputs),
        beside=beside(near, each),
        findings=findings,
    )
