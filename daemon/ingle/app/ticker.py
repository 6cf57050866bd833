"""The control tick: every 2 s of monotonic time, whatever the wall clock does.

It is level-triggered: a late tick decides for the present, and missed ones are not made up for. One that fails is
logged in a line and counts as no progress, so that the watchdog ends a daemon that can no longer decide.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable

TICK_S = 2.0

log = logging.getLogger(__name__)


class Ticker:
    """Calls a function at a steady beat of the event loop's monotonic clock."""

    def __init__(self, act: Callable[[], object], every_s: float = TICK_S) -> None:
        self._act = act
        self._every_s = every_s
        #: Ticks that came to their end.
        self.progress = 0
        #: How late the worst tick began [s].
        self.latest_s = 0.0

    async def run(self) -> None:
        """Tick until cancelled."""
        loop = asyncio.get_running_loop()
        due = loop.time()
        while True:
            self.latest_s = max(self.latest_s, loop.time() - due)
            try:
                self._act()
                self.progress += 1
            except Exception as error:  # noqa: BLE001 - a tick must not end the heating; the watchdog judges
                log.error("the tick failed: %s: %s", type(error).__name__, error)  # noqa: TRY400 - no tracebacks
            due = max(due + self._every_s, loop.time())
            await asyncio.sleep(due - loop.time())
