"""A room and those that it is joined to, as a small house: all that one room's heat loss depends on.

Working out a room again, at another value of one input, then costs the same in a house of three rooms as in one of a
hundred. Where many rooms share an unheated space, those that are not joined otherwise stand there as one: a room of
their mean temperature with all of their conductance to the space, which is the same to its heat balance.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from msgspec.structs import replace

from ingle.design.beyond import Behind
from ingle.design.spaces import TO_SPACE, conductance_w_per_k, space_id
from ingle.model.envelope import Element, Space, UnheatedSpace
from ingle.model.house import House, Zone

_TO_ZONE = "zone:"
# An id that no zone of a house file can have.
_OTHERS = "@"


def leads_to(zone: Zone) -> set[str]:
    """Return the ids of the zones that a zone's own elements lead to."""
    return _ids(_TO_ZONE, [element.beyond for element in zone.elements])


def _draws_from(zone: Zone) -> set[str]:
    """Return the ids of the zones that a zone draws air from."""
    return _ids(_TO_ZONE, [each.source for each in zone.air])


def _ids(prefix: str, beyonds: Iterable[str | Space]) -> set[str]:
    return {each.removeprefix(prefix) for each in beyonds if isinstance(each, str) and each.startswith(prefix)}


def nearby(house: House) -> dict[str, House]:
    """Return, by zone id, the house with that zone and the ones it is joined to, in their order."""
    places = {zone.id: place for place, zone in enumerate(house.zones)}
    joined: defaultdict[str, set[int]] = defaultdict(set)
    for place, zone in enumerate(house.zones):
        joined[zone.id].add(place)
        for other in leads_to(zone) & places.keys():
            joined[zone.id].add(places[other])
            joined[other].add(place)
        joined[zone.id].update(places[other] for other in _draws_from(zone) & places.keys())
    around = {
        zone_id: replace(house, zones=tuple(house.zones[place] for place in sorted(joined[zone_id])))
        for zone_id in places
    }
    return _with_spaces(house, around) if house.spaces else around


@dataclass(slots=True)
class _Warmth:
    """What some rooms are to one space: their conductance [W/K], and that times their temperature [W]."""

    w_per_k: float = 0.0
    w: float = 0.0

    def add(self, other: _Warmth, sign: int = 1) -> None:
        self.w_per_k += sign * other.w_per_k
        self.w += sign * other.w


def _with_spaces(house: House, around: dict[str, House]) -> dict[str, House]:
    """Return the neighbourhoods with the spaces that their rooms reach, and the other rooms of these as one."""
    of_zones = {zone.id: _to_spaces(zone) for zone in house.zones}
    whole: defaultdict[str, _Warmth] = defaultdict(_Warmth)
    for reached in of_zones.values():
        for each, warmth in reached.items():
            whole[each].add(warmth)
    groups = _groups(house)
    return {zone_id: _with_others(near, zone_id, of_zones, whole, groups) for zone_id, near in around.items()}


def _to_spaces(zone: Zone) -> dict[str, _Warmth]:
    found: defaultdict[str, _Warmth] = defaultdict(_Warmth)
    for element in zone.elements:
        there = space_id(element)
        if there is not None:
            flow = conductance_w_per_k(zone, element, Behind("space"))
            found[there].add(_Warmth(flow, flow * zone.design_c))
    return dict(found)


def _groups(house: House) -> dict[str, tuple[UnheatedSpace, ...]]:
    """Return, by the id of a space, all spaces that it is joined to over one or more pieces, itself included."""
    joined = {space.id: {space.id} for space in house.spaces}
    for space in house.spaces:
        for there in filter(None, map(space_id, space.elements)):
            if there in joined and there not in joined[space.id]:
                together = joined[space.id] | joined[there]
                for each in together:
                    joined[each] = together
    return {each: tuple(space for space in house.spaces if space.id in group) for each, group in joined.items()}


def _with_others(
    near: House,
    zone_id: str,
    of_zones: dict[str, dict[str, _Warmth]],
    whole: dict[str, _Warmth],
    groups: dict[str, tuple[UnheatedSpace, ...]],
) -> House:
    zone = next(zone for zone in near.zones if zone.id == zone_id)
    reached = {*of_zones[zone_id], *_ids(TO_SPACE, [each.source for each in zone.air])}
    spaces = {space.id: space for each in sorted(reached) for space in groups.get(each, ())}
    others = [
        _one(each, _rest(each, [of_zones[zone.id] for zone in near.zones], whole)) for each in spaces if each in whole
    ]
    return replace(near, zones=(*near.zones, *filter(None, others)), spaces=tuple(spaces.values()))


def _rest(space: str, here: list[dict[str, _Warmth]], whole: dict[str, _Warmth]) -> _Warmth:
    rest = _Warmth()
    rest.add(whole[space])
    for each in here:
        rest.add(each.get(space, _Warmth()), -1)
    return rest


def _one(space: str, rest: _Warmth) -> Zone | None:
    """Return the other rooms on a space as one room, or None where there are none (to the dust of subtraction)."""
    if rest.w_per_k <= 1e-9:
        return None
    piece = Element(name="other rooms", kind="wall", area_m2=rest.w_per_k, u_w_per_m2k=1.0, beyond=f"space:{space}")
    return Zone(
        id=f"{_OTHERS}{space}",
        name="other rooms",
        floor_area_m2=1.0,
        volume_m3=1.0,
        design_c=rest.w / rest.w_per_k,
        elements=(piece,),
    )
