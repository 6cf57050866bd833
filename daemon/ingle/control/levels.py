"""What a level means in a zone, and the floors that no level, lock or request goes under."""

from __future__ import annotations

from typing import Final

from ingle.model.house import House, Zone
from ingle.model.week import LevelName

#: The least that a vulnerable person's room is kept at while somebody lives in it [°C]: the minimum indoor temperature
#: recommended in the WHO Housing and health guidelines, 2018, chapter 4.
VULNERABLE_C: Final = 18.0
#: Levels at which nobody is in the room, so that the vulnerable floor does not hold.
_EMPTY: Final = frozenset({"vacant", "frost"})


def frost_c(house: House, zone: Zone) -> float:
    """Return the zone's frost level, which every order respects [°C]."""
    return house.level_c(zone, "frost")


def warm_enough_c(house: House, zone: Zone, temp_c: float) -> float:
    """Return a temperature raised to what a lived-in zone must at least have [°C]."""
    return max(float(temp_c), frost_c(house, zone), _vulnerable_c(house, zone))


def _vulnerable_c(house: House, zone: Zone) -> float:
    """Return the floor of a vulnerable person's room; it gives way only to a level that a reason stands beside [°C]."""
    if not zone.vulnerable:
        return 0.0
    if zone.cooler_reason is None or not zone.cooler_reason.strip():
        return VULNERABLE_C
    return min(VULNERABLE_C, house.level_c(zone, "occupied"))


def level_c(house: House, zone: Zone, level: LevelName) -> float:
    """Return the temperature that a level means in a zone, floors respected [°C]."""
    own = house.level_c(zone, level)
    return max(own, frost_c(house, zone)) if level in _EMPTY else warm_enough_c(house, zone, own)
