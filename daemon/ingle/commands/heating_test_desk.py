"""Where heating tests are asked for: looked at, started, stopped; and what of them is kept and told.

A test begins only once it is in the database. From there the tick moves it on, and its rows follow as those of other
requests do, also over a disk that is full meanwhile.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any, Final

from ingle.clock import Clock
from ingle.commands import heating_test_outlook as looks
from ingle.commands.heating_tests import NOTICE, HeatingTests, notice
from ingle.commands.journal import Row
from ingle.commands.outbox import Outbox
from ingle.control.situation import Situation
from ingle.errors import Refused, Unknown
from ingle.live import Live
from ingle.model.commands import Origin
from ingle.model.heating_tests import (
    HeatingTest,
    HeatingTestOutlook,
    HeatingTestPlan,
    HeatingTestResult,
    HeatingTestStop,
)
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.store import heating_tests as stored_tests
from ingle.store.db import Store

#: How far back a heater must have measured energy, and outdoor temperatures count as the weather of a test [ms].
LAST_DAY_MS: Final = 86_400_000
LAST_DAYS_MS: Final = 3 * LAST_DAY_MS


class HeatingTestDesk:
    """Heating tests of the running house. Lives on the loop thread.

    Parameters
    ----------
    store, live, clock, outbox
        The parts of ``Commands``.
    situation
        What decisions rest on at an instant.
    tick
        Decide now.
    one_at_a_time
        Held while a request is served.
    """

    def __init__(
        self,
        store: Store,
        live: Live,
        clock: Clock,
        outbox: Outbox,
        *,
        situation: Callable[[datetime], Situation],
        tick: Callable[[], object],
        one_at_a_time: asyncio.Lock,
    ) -> None:
        self._store = store
        self._live = live
        self._clock = clock
        self._outbox = outbox
        self._situation = situation
        self._tick = tick
        self._one_at_a_time = one_at_a_time
        self._tests = HeatingTests()

    @property
    def current(self) -> HeatingTest | None:
        """The test that is planned or runs."""
        return self._tests.current

    async def look(self, plan: HeatingTestPlan) -> HeatingTestOutlook:
        """Return what a heating test would do, take and cost, and what stands against it.

        Raises
        ------
        BadInput
            Where the plan cannot be taken as it is.
        Unreachable
            Where the database cannot be read.
        """
        now, house = self._now(), self._live.house
        looks.check_plan(house, plan, now)
        recorded = await self._store.read(partial(_recorded, house=house, t_ms=to_ms(now)))
        situation = self._situation(now)
        return await asyncio.to_thread(
            looks.outlook, house, plan, situation, recorded, now, running=self._tests.current
        )

    async def start(self, plan: HeatingTestPlan, origin: Origin) -> HeatingTest:
        """Start a heating test, now or when it is planned for, and return it with its number.

        Raises
        ------
        BadInput
            Where the plan cannot be taken as it is.
        Refused
            With everything that stands against it now.
        Unreachable
            Where the database cannot be written: a test that would be forgotten at the next start does not begin.
        """
        async with self._one_at_a_time:
            found = await self.look(plan)
            if found.refusals:
                raise Refused("; ".join(found.refusals))
            test = HeatingTest(
                number=0,
                zones=found.zones,
                guards=found.guards,
                temp_c=plan.temp_c,
                nights=plan.nights,
                who=origin.who,
                via=origin.via,
                why=plan.why,
                asked=self._now(),
                start=found.start,
                measure_from=found.measure_from,
                cool_from=found.cool_from,
                end=found.end,
            )

            def write(connection: sqlite3.Connection) -> HeatingTest:
                kept = stored_tests.add(connection, test)
                self._row(kept, {"who": origin.who, "via": origin.via, "why": plan.why}).write(connection)
                return kept

            kept = await self._store.write(write)
            self._tests.begin(kept, self._clock.now(), self._clock.monotonic())
            self._tick()
            return self._tests.current or kept

    async def stop(self, number: int, stop: HeatingTestStop, origin: Origin) -> HeatingTest:
        """End a heating test before its time and return it as it ended.

        Raises
        ------
        Unknown
            Where no test has the number.
        Refused
            Where it has ended already.
        """
        async with self._one_at_a_time:
            current = self._tests.current
            if current is None or current.number != number:
                found = await self._store.read(partial(stored_tests.find, number=number))
                if found is None:
                    raise Unknown(f"there is no heating test {number}")
                raise Refused(
                    f"heating test {number} has ended already: {found[0].reason or 'all its nights are over'}"
                )
            why = f": {stop.why.strip()}" if stop.why.strip() else ""
            ended = self._tests.stop(f"stopped by {origin.who}{why}", self._now())
            self._note(ended, {"who": origin.who, "via": origin.via})
            self._tick()
            await self._outbox.flush()
            return ended

    async def keep_result(self, result: HeatingTestResult) -> None:
        """Keep what a heating test's record tells, with an event once it is final.

        Raises
        ------
        Unreachable
            Where the database cannot be written.
        """
        data = {zone.id: zone.measured_w_per_k for zone in result.zones}
        row = Row(
            to_ms(self._clock.now()),
            "heating-test-result",
            str(result.number),
            {"design_version": result.design_version, "method_version": result.method_version, "w_per_k": data},
        )

        def write(connection: sqlite3.Connection) -> None:
            stored_tests.save_result(connection, result)
            if result.final:
                row.write(connection)

        await self._store.write(write)

    # What the tick does.

    def resume(self, test: HeatingTest) -> None:
        """Go on with a test that was read back at the start."""
        self._tests.resume(test, self._clock.monotonic())
        self._tell(test)

    def watch(self, house: House, situation: Situation, now: datetime, monotonic: float) -> bool:
        """Move the test on; return whether its stage has changed."""
        changed = self._tests.watch(house, situation, now, monotonic)
        if changed is not None:
            self._note(changed)
        return changed is not None

    def clock_set(self, step_s: float, now: datetime, *, trusted: bool) -> None:
        """Know that the wall clock was set, and whether it was vouched for before."""
        ended = self._tests.clock_set(step_s, now, trusted=trusted)
        if ended is not None:
            self._note(ended)

    def _note(self, test: HeatingTest, more: dict[str, Any] | None = None) -> None:
        """Have a test's new stage kept and told."""
        self._outbox.put(partial(_save, test))
        self._outbox.put(self._row(test, more or {}).write)
        self._tell(test)

    def _tell(self, test: HeatingTest) -> None:
        told = notice(self._live.house, test, self._now())
        self._live.clear_notice(NOTICE)
        if told is not None:
            self._live.post_notice(told)

    def _row(self, test: HeatingTest, more: dict[str, Any]) -> Row:
        data = {
            "stage": test.stage,
            "reason": test.reason,
            "zones": test.zones,
            "guards": test.guards,
            "temp_c": test.temp_c,
            "nights": test.nights,
            "start": test.start,
            "end": test.end,
        }
        return Row(to_ms(self._clock.now()), "heating-test", str(test.number), {**data, **more})

    def _now(self) -> datetime:
        """Return the wall time as the store keeps it."""
        return from_ms(to_ms(self._clock.now()))


def _save(test: HeatingTest, connection: sqlite3.Connection) -> None:
    stored_tests.save(connection, test)


def _recorded(connection: sqlite3.Connection, *, house: House, t_ms: int) -> looks.Recorded:
    """Return what the record tells of heaters and weather before a test; on a reader's thread."""
    heaters = [heater.id for zone in house.zones for heater in zone.heaters]
    metered = frozenset(one for one in heaters if stored_tests.meters(connection, one, t_ms - LAST_DAY_MS))
    return looks.Recorded(metered, stored_tests.outdoor_mean_c(connection, t_ms - LAST_DAYS_MS))
