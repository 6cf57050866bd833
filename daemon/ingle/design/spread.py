"""Where heaters belong in a room: along what is cold, so that its downdraught meets warm air.

Under windows first, then along outside walls, the largest first (common practice). How many it takes to spread the
heat: about one for each 25 m² of floor, but no more than there are cold places (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Final

from ingle.model.envelope import Element
from ingle.model.house import Zone

#: Floor that one heater serves well [m²]; common practice.
M2_A_HEATER: Final = 25.0
#: Most heaters that are asked for where no cold place is surveyed.
UNSURVEYED: Final = 4


def places(zone: Zone) -> tuple[str, ...]:
    """Return the places for heaters along a zone's windows and outside walls, best first."""
    outside = [element for element in zone.elements if element.beyond == "outside"]
    windows = [element for element in outside if element.kind == "window"]
    named = {element.name for element in windows}
    # A wall whose window is listed as its opening already has its place, under that window.
    walls = [each for each in outside if each.kind == "wall" and named.isdisjoint(each.openings)]
    return (
        *(f"under {each.name}" for each in sorted(windows, key=_area, reverse=True)),
        *(f"along {each.name}" for each in sorted(walls, key=_area, reverse=True)),
    )


def heaters_for_spread(zone: Zone) -> int:
    """Return how many heaters spread the heat of a zone."""
    by_floor = max(1, ceil(zone.floor_area_m2 / M2_A_HEATER))
    return min(by_floor, len(places(zone)) or UNSURVEYED)


def spread(plates_w: Sequence[float], zone: Zone) -> tuple[str, ...]:
    """Return where each heater goes, the largest to the best place; beyond the last place they share."""
    there = places(zone)
    if not there:
        return ("no window or outside wall is surveyed: place them by eye, along what is cold",)
    ordered = sorted(plates_w, reverse=True)
    return tuple(f"{plate:g} W {there[index % len(there)]}" for index, plate in enumerate(ordered))


def _area(element: Element) -> float:
    return element.area_m2 or (element.width_m or 0.0) * (element.height_m or 0.0)
