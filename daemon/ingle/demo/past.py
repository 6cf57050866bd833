"""What the supervisor would have ordered in the weeks before the demo: programme, and the supply's cap.

A stand-in, good enough to make history: the programme's temperature for each room, and when more is asked for than the
supply allows, the coldest rooms first. From the end of history on, orders come from the real supervisor over MQTT.
"""

from __future__ import annotations

from datetime import datetime
from itertools import groupby

from ingle.control.programme import due
from ingle.demo.appliance import Appliance
from ingle.demo.site import Site
from ingle.model.instants import from_ms

#: How often it looks [s].
LOOK_S = 300.0
#: What is kept free for the house's other loads [W].
RESERVE_W = 1200.0
#: A heater this close to its setpoint may begin to ask before the next look [K].
NEARLY_K = 0.25


class PastOrders:
    """Gives a simulated house its orders."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._wanted_c: list[float] = [site.house.level_c(zone, "setback") for zone in site.house.zones]
        self._until: list[datetime | None] = [from_ms(0) for _ in site.house.zones]
        cap_a = site.house.site.supply_cap_a
        self._cap_w = None if cap_a is None else cap_a * site.house.site.voltage_v - RESERVE_W
        self._by_room = {
            room: tuple(some) for room, some in groupby(site.appliances, key=lambda appliance: appliance.room)
        }

    def look(self) -> None:
        """Give every heater what it should hold now."""
        now = from_ms(round(self._site.t_s * 1000))
        for place, zone in enumerate(self._site.house.zones):
            until = self._until[place]
            if until is not None and until <= now:
                found = due(self._site.house, zone, now)
                self._wanted_c[place], self._until[place] = found.wanted_c, found.until
        left_w = self._cap_w
        for place in sorted(self._by_room, key=self._missing_k, reverse=True):
            asks = self._missing_k(place) > -NEARLY_K
            for appliance in self._by_room[place]:
                allowed = not asks or left_w is None or appliance.plate_w <= left_w
                if asks and allowed and left_w is not None:
                    left_w -= appliance.plate_w
                self._order(appliance, allowed=allowed)

    def _missing_k(self, place: int) -> float:
        return self._wanted_c[place] - self._site.rooms.air_c[place]

    def _order(self, appliance: Appliance, *, allowed: bool) -> None:
        appliance.obey(
            setpoint_c=self._wanted_c[appliance.room],
            limit_w=1.1 * appliance.plate_w if allowed else 0.0,
            locked=False,
            fallback_c=self._wanted_c[appliance.room],
        )
