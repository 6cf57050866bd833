"""Weeks of readings before the demo begins, handed to ``intake`` as values, as if they had come over the wire.

Simulating five weeks takes about two seconds; storing them through the ordinary path takes longer. So that memory
stays small, only as many readings are under way as the writer can hold, and the event loop gets its turn every
simulated hour.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterable, Iterator
from typing import Protocol

from ingle.clock import Clock
from ingle.demo.flaws import TERN_HOUSE, Flaws
from ingle.demo.past import LOOK_S, PastOrders
from ingle.demo.physics import STEP_S
from ingle.demo.reports import heater_reading, slow_readings
from ingle.demo.site import Site
from ingle.errors import Unreachable
from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.readings import Reading

WEEK_S = 7 * 86_400.0
#: A reading of each source every so often [s].
INTERVAL_S = 300.0
#: The house runs this long before the first reading, so that its walls are as warm as they would be [s].
SETTLE_S = 4 * 86_400.0
#: Hours of readings that may be under way at once.
UNDER_WAY = 12
#: With no reading stored for so long, the store is not working [s].
PATIENCE_S = 30.0


class Intake(Protocol):
    """Where readings enter."""

    def accept_all(self, readings: Iterable[Reading], done: Callable[[], None] | None) -> None:
        """Take readings; ``done`` is called once, on any thread, when all are on disk or known to be unwanted."""


class _UnderWay:
    """Counts batches handed over and batches that have arrived; ``arrived`` is called on the writer's thread."""

    def __init__(self) -> None:
        self.sent = 0
        self._arrived = 0

    def arrived(self) -> None:
        self._arrived += 1

    async def at_most(self, count: int) -> None:
        """Wait until no more than ``count`` batches are under way."""
        seen, loop = self._arrived, asyncio.get_running_loop()
        patience = loop.time() + PATIENCE_S
        while self.sent - self._arrived > count:
            await asyncio.sleep(0.005)
            if self._arrived != seen:
                seen, patience = self._arrived, loop.time() + PATIENCE_S
            elif loop.time() > patience:
                raise Unreachable("the store takes no readings: is the disk full or read-only?")


async def fill_history(
    intake: Intake,
    house: House,
    design: Design,
    clock: Clock,
    *,
    weeks: float = 5.0,
    progress: Callable[[int, int], None] | None = None,
    flaws: Flaws = TERN_HOUSE,
    seed: int = 7,
) -> Site:
    """Simulate the ``weeks`` that end now, hand every reading to ``intake``, and return the house as it stands then.

    ``progress`` is told how many of how many simulated hours are done. ``clock`` should stand still meanwhile.

    Raises
    ------
    Unreachable
        If the store stops taking readings.
    """
    end_s = clock.now().timestamp() // INTERVAL_S * INTERVAL_S
    site = Site(house, design, flaws=flaws, seed=seed, start_s=end_s - weeks * WEEK_S - SETTLE_S)
    orders = PastOrders(site)
    under_way = _UnderWay()
    hours = round(weeks * WEEK_S / 3600)
    for hour in range(hours):
        readings = list(_hour(site, orders, end_s - (hours - hour) * 3600, end_s))
        under_way.sent += 1
        intake.accept_all(readings, under_way.arrived)
        if progress is not None:
            progress(hour + 1, hours)
        await asyncio.sleep(0)
        await under_way.at_most(UNDER_WAY)
    await under_way.at_most(0)
    return site


def _hour(site: Site, orders: PastOrders, start_s: float, end_s: float) -> Iterator[Reading]:
    """Run a house up to an hour after ``start_s``, and yield what it reports after ``start_s``."""
    while site.t_s < start_s + 3600:
        orders.look()
        for _ in range(round(LOOK_S / STEP_S)):
            site.advance(STEP_S)
        if site.t_s > start_s:
            yield from _reports(site, end_s)


def _reports(site: Site, end_s: float) -> Iterator[Reading]:
    """Yield one report of each source; a flawed sensor falls silent some time before ``end_s``."""
    for appliance in site.appliances:
        yield heater_reading(site, appliance, site.t_s)
    for reading in slow_readings(site, site.t_s):
        if site.t_s <= end_s - site.flaws.silent_for_s.get(reading.source.id, 0.0):
            yield reading
