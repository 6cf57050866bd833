"""Has what a heating test tells worked out: after each of its nights, and once for good when it is over.

By the beat of the event loop, not by the wall clock: what is due follows from the test, its result and now.
"""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from dataclasses import dataclass, field
from typing import Final
from zoneinfo import ZoneInfo

from ingle.control.heating_test import nights
from ingle.errors import IngleError
from ingle.http.parts import Parts
from ingle.model.heating_tests import HeatingTest, HeatingTestResult
from ingle.store import heating_tests as stored

log = logging.getLogger(__name__)

EVERY_S: Final = 10.0
#: How long after a try that told nothing new the next one comes [s].
AGAIN_S: Final = 600.0


@dataclass(slots=True)
class Keeper:
    """Remembers what was tried, so that a night whose readings are late is not asked for all the time."""

    parts: Parts
    tried: dict[tuple[int, int, bool], float] = field(default_factory=dict)

    async def once(self) -> None:
        """Work out what is due now, if anything."""
        newest = await self.parts.store.read(_newest)
        if newest is None:
            return
        test, result = newest
        done = self._nights_done(test)
        if not _due(test, result, done):
            return
        key, monotonic = (test.number, done, test.open), self.parts.clock.monotonic()
        if monotonic - self.tried.get(key, -AGAIN_S) < AGAIN_S:
            return
        self.tried = {key: monotonic}
        found = await self.parts.verdicts.heating_test(test.number)
        await self.parts.commands.heating_tests.keep_result(found)

    def _nights_done(self, test: HeatingTest) -> int:
        last = self.parts.clock.now() if test.ended is None else test.ended
        where = ZoneInfo(self.parts.live.house.site.timezone)
        return sum(1 for _, dawn in nights(test, where) if dawn <= last)


async def keep_heating_tests(parts: Parts) -> None:
    """Keep the newest test's result up to date until cancelled."""
    keeper = Keeper(parts)
    while True:
        try:
            await keeper.once()
        except IngleError as error:
            log.warning("the heating test's nights are not worked out: %s", error)
        await asyncio.sleep(EVERY_S)


def _newest(connection: sqlite3.Connection) -> tuple[HeatingTest, HeatingTestResult | None] | None:
    return next(iter(stored.every(connection, 1)), None)


def _due(test: HeatingTest, result: HeatingTestResult | None, nights_done: int) -> bool:
    """Return whether a test's record may tell more than its result does."""
    if not test.open:
        return result is None or not result.final
    told = 0 if result is None else max((len(zone.nights) for zone in result.zones), default=0)
    return nights_done > told
