"""Small invented houses that tests of several rooms share."""

from __future__ import annotations

from typing import Any

from ingle.model.devices import Heater
from ingle.model.house import House, Site, Zone
from ingle.model.week import WEEKDAYS, Period, Programme


def make_zone(zone_id: str = "loft", *heaters: Heater, **fields: Any) -> Zone:
    """Return a zone; without heaters given it has one of 1500 W."""
    own = heaters or (Heater(id=f"{zone_id}-1", rated_w=1500.0),)
    return Zone(id=zone_id, name=zone_id.title(), floor_area_m2=20.0, height_m=2.4, heaters=own, **fields)


def make_house(
    *zones: Zone, programmes: tuple[Programme, ...] = (), site: dict[str, Any] | None = None, **fields: Any
) -> House:
    """Return a house in London time with the levels 20, 16, 12 and 7 °C."""
    of_site = {"name": "Tern House", "timezone": "Europe/London", "outdoor_design_c": -2.0, **(site or {})}
    return House(site=Site(**of_site), zones=zones, programmes=programmes, **fields)


def every_day(zone_id: str, *periods: tuple[str, str, str | float], otherwise: str = "setback") -> Programme:
    """Return a programme for all days; each period as from, to, and a level or a temperature."""
    made = tuple(
        Period(start=start, end=end, level=want) if isinstance(want, str) else Period(start=start, end=end, temp_c=want)  # type: ignore[arg-type]  # tests name levels
        for start, end, want in periods
    )
    return Programme(zone=zone_id, days=WEEKDAYS, periods=made, otherwise=otherwise)  # type: ignore[arg-type]  # likewise
