"""Run the daemon from the first part to the last commit, under the service manager's eyes.

A signal only sets a flag; the way out is the way in, reversed. A second signal means "now".
"""

from __future__ import annotations

import asyncio
import logging
import os
import signal
from collections.abc import Callable

from ingle.app.notify import Notifier, Watchdog
from ingle.app.running import Running, running
from ingle.clock import Clock
from ingle.config.daemon import Settings
from ingle.errors import Unreachable

log = logging.getLogger(__name__)

#: How often the watchdog is looked after where none is set [s].
_LOOK_S = 10.0


def set_up_logging() -> None:
    """Log one line an event to stderr; the journal adds the time."""
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s")


async def serve(settings: Settings, clock: Clock, ready: Callable[[Running], None]) -> None:
    """Serve until SIGTERM or SIGINT.

    Parameters
    ----------
    ready
        Called once, when pages answer and the first plan is made.

    Raises
    ------
    Unreachable
        Where it cannot start, or where a part that must live has ended.
    """
    stop = asyncio.Event()
    on_signals(stop)
    notifier = Notifier(os.environ, os.getpid())
    async with running(settings, clock) as run:
        ready(run)
        notifier.send("READY=1", f"STATUS={run.page}")
        await until_stopped(run, stop, notifier)
        notifier.send("STOPPING=1")
    log.info("stopped; everything is saved")


async def until_stopped(run: Running, stop: asyncio.Event, notifier: Notifier) -> None:
    """Wait for the flag, feeding the watchdog while all parts move; a part that ends by itself is an error."""
    watchdog = Watchdog(notifier, run.progress)
    every_s = notifier.watchdog_s / 3 if notifier.watchdog_s else _LOOK_S
    stopped = asyncio.ensure_future(stop.wait())
    broken = asyncio.ensure_future(run.broken())
    try:
        while True:
            await asyncio.wait({stopped, broken}, timeout=every_s, return_when=asyncio.FIRST_COMPLETED)
            if stopped.done():
                return
            if broken.done():
                raise Unreachable(broken.result())
            stuck = watchdog.feed()
            if stuck:
                log.error("no progress: %s", ", ".join(stuck))
    finally:
        stopped.cancel()
        broken.cancel()


def on_signals(stop: asyncio.Event) -> None:
    """Let SIGTERM and SIGINT set a flag; the second one ends the process at once."""
    loop = asyncio.get_running_loop()

    def asked() -> None:
        if stop.is_set():
            os._exit(1)  # the second time means now
        stop.set()

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, asked)
