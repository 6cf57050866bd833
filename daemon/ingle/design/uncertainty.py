"""How far the inputs' own limits move the result.

Each input whose provenance has a ``low`` or ``high`` (95 % limits, in its own unit) is put at that limit, alone, and
the rooms it touches are worked out again. The shifts down and the shifts up are each combined by root-sum-square, as
for independent errors (JCGM 100:2008, 5.1, done numerically), so halves may differ. Inputs without limits move
nothing and are listed among the warnings instead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import hypot

from msgspec.structs import replace

from ingle.design.room import IN_USE_AIR_SHARE_RANGE, Room, room
from ingle.model.house import Element, House, Provenance, Site, Zone

IN_USE_AIR = "air_changes_in_use_per_h"


@dataclass(frozen=True, slots=True)
class Input:
    """One uncertain input: where it is, and its limits."""

    key: str
    low: float | None
    high: float | None
    zone: int | None = None
    element: int | None = None

    def name(self, house: House) -> str:
        """Return how the sheet calls it."""
        place = "house"
        if self.zone is not None:
            zone = house.zones[self.zone]
            place = zone.id if self.element is None else f"{zone.id}, {zone.elements[self.element].name}"
        ends = ["" if end is None else f"{end:g}" for end in (self.low, self.high)]
        return f"{place}: {self.key} {'...'.join(ends)}"


@dataclass(slots=True)
class Band:
    """Shifts of one figure, combined as they come."""

    centre: float
    down: float = 0.0
    up: float = 0.0

    def add(self, moved: list[float]) -> tuple[float, float]:
        """Take in the figure at an input's limits; return how far these moved it down and up."""
        down = max(0.0, self.centre - min([self.centre, *moved]))
        up = max(0.0, max([self.centre, *moved]) - self.centre)
        self.down, self.up = hypot(self.down, down), hypot(self.up, up)
        return down, up

    @property
    def low(self) -> float:
        """Lower 95 % limit."""
        return self.centre - self.down

    @property
    def high(self) -> float:
        """Upper 95 % limit."""
        return self.centre + self.up


@dataclass(slots=True)
class Bands:
    """A room's two bands, heat loss at design [W] and coefficient in use [W/K], and what moves the first."""

    heat_loss_w: Band
    in_use_w_per_k: Band
    shifts: dict[str, str] = field(default_factory=dict)


def bands(house: House, rooms: dict[str, Room]) -> dict[str, Bands]:
    """Return each room's bands.

    ``rooms`` are the rooms at the central values, by zone id.
    """
    result = {zone_id: Bands(Band(each.heat_loss_w), Band(each.in_use_w_per_k)) for zone_id, each in rooms.items()}
    for uncertain in _inputs(house):
        moved = [_moved(house, uncertain, limit) for limit in (uncertain.low, uncertain.high) if limit is not None]
        for zone_id in _touched(house, uncertain):
            again = [room(other, zone) for other in moved if (zone := other.zone(zone_id)) is not None]
            band = result[zone_id]
            down, up = band.heat_loss_w.add([each.heat_loss_w for each in again])
            band.in_use_w_per_k.add([each.in_use_w_per_k for each in again])
            if down or up:
                band.shifts[uncertain.name(house)] = f"-{down:.0f}/+{up:.0f} W"
    return result


def _inputs(house: House) -> Iterator[Input]:
    yield from _limits(house.site, house.site.provenance)
    for index, zone in enumerate(house.zones):
        yield from _limits(zone, zone.provenance, zone=index)
        for place, element in enumerate(zone.elements):
            yield from _limits(element, element.provenance, zone=index, element=place)
        if zone.air_changes_in_use_per_h is None and not _has_limits(zone.provenance.get(IN_USE_AIR)):
            low, high = (zone.air_changes_per_h * part for part in IN_USE_AIR_SHARE_RANGE)
            yield Input(IN_USE_AIR, low, high, zone=index)


def _limits(
    holder: Site | Zone | Element,
    provenance: dict[str, Provenance],
    *,
    zone: int | None = None,
    element: int | None = None,
) -> Iterator[Input]:
    for key, origin in provenance.items():
        if key in holder.__struct_fields__ and _has_limits(origin):
            yield Input(key, origin.low, origin.high, zone, element)


def _has_limits(origin: Provenance | None) -> bool:
    return origin is not None and (origin.low is not None or origin.high is not None)


def _moved(house: House, uncertain: Input, value: float) -> House:
    """Return the house with one input at another value."""
    change = {uncertain.key: value}
    if uncertain.zone is None:
        return replace(house, site=replace(house.site, **change))
    zone = house.zones[uncertain.zone]
    if uncertain.element is None:
        zone = replace(zone, **change)
    else:
        elements = list(zone.elements)
        elements[uncertain.element] = replace(elements[uncertain.element], **change)
        zone = replace(zone, elements=tuple(elements))
    return replace(house, zones=(*house.zones[: uncertain.zone], zone, *house.zones[uncertain.zone + 1 :]))


def _touched(house: House, uncertain: Input) -> set[str]:
    """Return the rooms that an input can move: its own and those linked to it; all for an input of the site."""
    if uncertain.zone is None:
        return {zone.id for zone in house.zones}
    own = house.zones[uncertain.zone]
    there = {str(element.beyond).removeprefix("zone:") for element in own.elements}
    here = {zone.id for zone in house.zones if any(each.beyond == f"zone:{own.id}" for each in zone.elements)}
    return {zone.id for zone in house.zones if zone.id == own.id or zone.id in there or zone.id in here}
