"""House-keeping by the wall clock: the verdicts every night, a forecast every week.

A night's verdicts date a change; a forecast says what the next week should cost, to be scored when that is over. Only
daily and weekly jobs stand here. The scheduler follows the wall clock, and after a clock step of years it makes up for
every missed run: that is a few hundred for a daily job and a stall for one of a minute. Nothing that heats depends on
it.
"""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from apscheduler.schedulers.asyncio import AsyncIOScheduler
from apscheduler.triggers.cron import CronTrigger

from ingle.clock import Clock
from ingle.errors import IngleError
from ingle.live import Live
from ingle.model.forecasts import ForecastRequest
from ingle.model.instants import to_ms
from ingle.model.verdicts import Assessment
from ingle.reports.child import Verdicts
from ingle.reports.forecast import forecast
from ingle.reports.forecast_score import keep
from ingle.store import events
from ingle.store import verdicts as stored
from ingle.store.db import Store
from ingle.store.houses import digest

log = logging.getLogger(__name__)

#: After the heating day has ended at 04:00 and before anybody is up.
NIGHT_HOUR: Final = 4
NIGHT_MINUTE: Final = 20
#: A look is kept when the newest one is about a week old; a night's run is never to the second [ms].
WEEK_MS: Final = 7 * 86_400_000 - 3_600_000
#: The day on which the coming seven are forecast: they are then a week from Monday on.
WEEK_EVE: Final = "sun"


class Rooms(Protocol):
    """The parts that the jobs use."""

    @property
    def store(self) -> Store:
        """Where verdicts are noted."""

    @property
    def live(self) -> Live:
        """Whose house gives the time zone."""

    @property
    def clock(self) -> Clock:
        """What notes are dated by."""

    @property
    def verdicts(self) -> Verdicts:
        """What works them out."""


def start_jobs(rooms: Rooms) -> Callable[[], None]:
    """Start the scheduler; return what ends it."""
    timezone = ZoneInfo(rooms.live.house.site.timezone)
    logging.getLogger("apscheduler").setLevel(logging.WARNING)
    scheduler = AsyncIOScheduler(timezone=timezone)
    scheduler.add_job(
        note_verdicts,
        CronTrigger(hour=NIGHT_HOUR, minute=NIGHT_MINUTE, timezone=timezone),
        args=[rooms],
        coalesce=True,
        misfire_grace_time=None,
        max_instances=1,
    )
    scheduler.add_job(
        say_the_week,
        CronTrigger(day_of_week=WEEK_EVE, hour=NIGHT_HOUR, minute=NIGHT_MINUTE + 10, timezone=timezone),
        args=[rooms],
        coalesce=True,
        misfire_grace_time=None,
        max_instances=1,
    )
    scheduler.start()

    def end() -> None:
        scheduler.shutdown(wait=False)

    return end


async def note_verdicts(rooms: Rooms) -> None:
    """Work the verdicts out and note them as one event, with the design they were compared with."""
    try:
        version = digest(rooms.live.house)
        assessed = await rooms.verdicts.assess(version, anew=True)
        await rooms.store.write(
            lambda connection: _note(connection, assessed.assessment, to_ms(rooms.clock.now()), version)
        )
    except IngleError as error:
        log.warning("tonight's verdicts were not worked out: %s", error)


def _note(connection: sqlite3.Connection, assessment: Assessment, t_ms: int, version: str) -> None:
    zones = {
        zone.id: {
            "verdict": zone.verdict,
            "w_per_k": zone.measured_w_per_k,
            "low_w_per_k": zone.low_w_per_k,
            "high_w_per_k": zone.high_w_per_k,
            "probability": zone.probability,
            "causes": [c.code for c in zone.causes],
        }
        for zone in assessment.zones
    }
    data = {"design_version": assessment.design_version, "method": assessment.method, "zones": zones}
    events.record(connection, t_ms, "verdicts", "", data)
    newest = stored.newest_ms(connection)
    # A clock that was far ahead once must not keep looks away for years.
    if newest is None or not 0 <= t_ms - newest < WEEK_MS:
        stored.save(connection, assessment, t_ms=t_ms, digest=version)


async def say_the_week(rooms: Rooms) -> None:
    """Forecast the next seven days and keep that."""
    house, now = rooms.live.house, rooms.clock.now()
    if not any(zone.heaters for zone in house.zones):
        return
    try:
        said = await rooms.store.read(lambda connection: forecast(connection, house, ForecastRequest(), now, "ingle"))
        await rooms.store.write(lambda connection: keep(connection, said))
    except IngleError as error:
        log.warning("the coming week was not forecast: %s", error)
