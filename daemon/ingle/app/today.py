"""Energy and money since local midnight, and the roll-ups beneath, worked out again every minute of monotonic time.

Not a scheduled job: a minute's job would be made up for by the million after a clock step of years.
"""

from __future__ import annotations

import asyncio
import logging
import sqlite3
from typing import Final

from ingle.errors import Unreachable
from ingle.http.parts import Parts
from ingle.live import Today
from ingle.reports.energy import Energy, today
from ingle.reports.spent import Spent, spent_today
from ingle.store.rollups import settle

log = logging.getLogger(__name__)

EVERY_S: Final = 60.0


async def keep_today(parts: Parts) -> None:
    """Keep today's figures in the state of now until cancelled."""
    while True:
        try:
            await _once(parts)
        except Unreachable as error:
            log.warning("today's energy is not known: %s", error)
        await asyncio.sleep(EVERY_S)


async def _once(parts: Parts) -> None:
    house, now = parts.live.house, parts.clock.now()

    def read(connection: sqlite3.Connection) -> tuple[Energy, Spent]:
        return today(connection, house, now), spent_today(connection, house, now)

    used, spent = await parts.store.read(read)
    parts.live.set_today(Today(used.total_wh, spent.money, spent.currency, used.quality))
    await parts.store.write(settle)
