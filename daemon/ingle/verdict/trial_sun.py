"""The sun through a room's glass, hour by hour, for what its walls keep of it into the night."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

import numpy as np

from ingle.model.house import House, Zone
from ingle.physics.sun import clear_sky, on_surface, sun_at
from ingle.verdict.series import Floats
from ingle.verdict.sunshine import ROOFLIGHT_TILT_DEG, UNLISTED_M2_PER_M2, glass_m2

#: Where a house stands that gives no place: a mid latitude on the meridian of its zone is near enough for a shape.
_LATITUDE_DEG: Final = 51.0
_LONGITUDE_DEG: Final = 0.0
#: What a wall's window sees of the sun on the ground, where only that is measured [-]; common practice.
_OF_HORIZONTAL: Final = 0.9
#: The share of the sun that a facing nobody gave gets of the four together.
_ANY: Final = (0.0, 90.0, 180.0, 270.0)


def clear_sun_w(house: House, zone: Zone, times_s: Floats, measured_w_per_m2: Floats | None) -> Floats:
    """Return what comes through a room's glass under a clear sky, or as measured on the ground says [W].

    Parameters
    ----------
    house, zone
        The place and the glass; a room without listed glass is taken to have a little.
    times_s
        Instants [s].
    measured_w_per_m2
        Sun on the ground at these instants, None where nobody measures it.
    """
    panes = [(element, glass_m2(element)) for element in zone.elements]
    panes = [(element, area) for element, area in panes if area > 0]
    total_m2 = sum(area for _, area in panes) or UNLISTED_M2_PER_M2 * zone.floor_area_m2
    if measured_w_per_m2 is not None:
        return np.asarray(measured_w_per_m2 * total_m2 * _OF_HORIZONTAL)
    latitude = _LATITUDE_DEG if house.site.latitude_deg is None else house.site.latitude_deg
    longitude = _LONGITUDE_DEG if house.site.longitude_deg is None else house.site.longitude_deg
    found = np.zeros(len(times_s))
    for place, second in enumerate(times_s):
        when = datetime.fromtimestamp(float(second), UTC)
        sun = sun_at(when, latitude, longitude)
        if sun.elevation_deg <= 0:
            continue
        sky = clear_sky(sun.elevation_deg, when.timetuple().tm_yday)
        for element, area in panes:
            tilt = ROOFLIGHT_TILT_DEG if element.kind == "rooflight" else 90.0
            facings = _ANY if element.faces_deg is None else (element.faces_deg,)
            found[place] += area * sum(on_surface(sky, sun, tilt, each) for each in facings) / len(facings)
        if not panes:
            found[place] += total_m2 * sum(on_surface(sky, sun, 90.0, each) for each in _ANY) / len(_ANY)
    return found
