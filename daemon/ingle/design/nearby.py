"""A room and those that it is joined to, as a small house: all that one room's heat loss depends on.

Working out a room again, at another value of one input, then costs the same in a house of three rooms as in one of a
hundred.
"""

from __future__ import annotations

from collections import defaultdict

from msgspec.structs import replace

from ingle.model.house import House, Zone

_TO_ZONE = "zone:"


def leads_to(zone: Zone) -> set[str]:
    """Return the ids of the zones that a zone's own elements lead to."""
    beyonds = [element.beyond for element in zone.elements if isinstance(element.beyond, str)]
    return {beyond.removeprefix(_TO_ZONE) for beyond in beyonds if beyond.startswith(_TO_ZONE)}


def nearby(house: House) -> dict[str, House]:
    """Return, by zone id, the house with that zone and the ones it is joined to, in their order."""
    places = {zone.id: place for place, zone in enumerate(house.zones)}
    joined: defaultdict[str, set[int]] = defaultdict(set)
    for place, zone in enumerate(house.zones):
        joined[zone.id].add(place)
        for other in leads_to(zone) & places.keys():
            joined[zone.id].add(places[other])
            joined[other].add(place)
    return {
        zone_id: replace(house, zones=tuple(house.zones[place] for place in sorted(joined[zone_id])))
        for zone_id in places
    }
