"""The simulated house live: it moves with the demo's clock, reports over MQTT, and obeys what it is sent.

A pace is a second of real time. In each the house catches up with the clock, a minute's step at a time at most, and
whatever is due reports: every 10 simulated seconds, but not more than once a pace, so that a fast demo does not flood
the broker. A heater also reports as soon as it has taken an order, as good firmware does; that is its echo.
"""

from __future__ import annotations

import asyncio
from collections import defaultdict
from collections.abc import Callable

from ingle.demo.appliance import Appliance
from ingle.demo.clock import DemoClock
from ingle.demo.heaters import Connection, Order
from ingle.demo.physics import STEP_S
from ingle.demo.reports import heater_reading, payload, slow_readings
from ingle.demo.site import Site
from ingle.model.readings import Reading

PACE_S = 1.0
#: Simulated seconds between the reports of one source [s].
REPORT_S = 10.0
#: The connection of heaters that are behind no gateway, and of the sensors.
DIRECT, STATION = "direct", "station"


class Simulation:
    """Heaters, sensors and weather of a house on a broker.

    Parameters
    ----------
    site
        The house as history left it.
    clock
        The demo's time.
    port
        Where the broker listens on loopback.
    root
        The first level of all topics.
    empty
        Whether the guests have been asked to leave.
    """

    def __init__(
        self,
        site: Site,
        clock: DemoClock,
        port: int,
        *,
        root: str = "ingle",
        empty: Callable[[], bool] = lambda: False,
    ) -> None:
        self._site = site
        self._empty = empty
        self._clock = clock
        self._port = port
        self._root = root
        self._appliances = {appliance.heater_id: appliance for appliance in site.appliances}
        self._by_gateway: dict[str, list[str]] = defaultdict(list)
        for zone in site.house.zones:
            for heater in zone.heaters:
                self._by_gateway[heater.gateway or DIRECT].append(heater.id)
        self._gateway_of = {heater: gateway for gateway, some in self._by_gateway.items() for heater in some}
        self._links: dict[str, Connection] = {}
        self._due_s: dict[str, float] = {}
        self._slow_due_s = 0.0
        self._ended = asyncio.Event()
        #: Grows with every pace.
        self.progress = 0

    async def run(self) -> None:
        """Connect, then move and report until ``stop``."""
        self._connect()
        while not self._ended.is_set():
            self._pace()
            try:
                await asyncio.wait_for(self._ended.wait(), PACE_S)
            except TimeoutError:
                continue

    async def stop(self) -> None:
        """Say that the heaters leave, and disconnect."""
        self._ended.set()
        for link in self._links.values():
            await asyncio.to_thread(link.stop)
        self._links.clear()

    def _connect(self) -> None:
        for gateway, heaters in self._by_gateway.items():
            links = [f"{self._root}/heater/{heater}/link" for heater in heaters]
            if gateway != DIRECT:
                links.insert(0, f"{self._root}/gateway/{gateway}/link")
            wanted = [f"{self._root}/heater/{heater}/wanted" for heater in heaters]
            self._links[gateway] = self._link(gateway, links, wanted)
        self._links[STATION] = self._link(STATION, [], [])
        for link in self._links.values():
            link.start()

    def _link(self, name: str, link_topics: list[str], topics: list[str]) -> Connection:
        return Connection(f"demo-{name}", self._port, link_topics=link_topics, topics=topics, heard=self._obey)

    def _obey(self, topic: str, message: bytes) -> None:
        heater_id = topic.removeprefix(f"{self._root}/heater/").removesuffix("/wanted")
        appliance = self._appliances.get(heater_id)
        order = Order.read(message)
        if appliance is None or order is None or self._ended.is_set():
            return
        self._catch_up()
        appliance.obey(
            setpoint_c=order.setpoint_c,
            limit_w=order.limit_w,
            locked=order.locked,
            fallback_c=order.fallback_c,
            expires_s=order.expires_s(self._site.t_s),
        )
        self._report(appliance)

    def _catch_up(self) -> None:
        """Move the house on to the clock's time."""
        self._site.empty = self._empty()
        now_s = self._clock.now().timestamp()
        while (behind_s := now_s - self._site.t_s) > 0:
            self._site.advance(min(behind_s, STEP_S))

    def _pace(self) -> None:
        self._catch_up()
        t_s = self._site.t_s
        for place, appliance in enumerate(self._site.appliances):
            due_s = self._due_s.get(appliance.heater_id)
            if due_s is not None and t_s < due_s:
                continue
            self._report(appliance)
            if due_s is None:  # spread over the interval from now on, so that they do not all speak at once
                self._due_s[appliance.heater_id] = t_s + (place + 1) * REPORT_S / len(self._appliances)
        if t_s >= self._slow_due_s:
            self._slow_due_s = t_s + REPORT_S
            for reading in slow_readings(self._site, t_s):
                if reading.source.id not in self._site.flaws.silent_for_s:
                    self._send(STATION, reading)
        self.progress += 1

    def _report(self, appliance: Appliance) -> None:
        t_s = self._site.t_s
        self._due_s[appliance.heater_id] = t_s + REPORT_S
        self._send(self._gateway_of[appliance.heater_id], heater_reading(self._site, appliance, t_s))

    def _send(self, link_name: str, reading: Reading) -> None:
        kind, name = reading.source
        where = kind if kind == "outdoor" else f"{kind}/{name}"
        self._links[link_name].publish(f"{self._root}/{where}/reading", payload(reading))
