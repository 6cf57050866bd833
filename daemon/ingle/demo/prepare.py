"""Make the demo's database: the house as its first revision, weeks of readings as they would have come, two bills."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ingle.clock import Clock
from ingle.demo.bills import enter_bills
from ingle.demo.history import fill_history
from ingle.demo.site import Site
from ingle.intake import Intake
from ingle.live import Live
from ingle.model.design import Design
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.store import houses
from ingle.store.db import Store
from ingle.store.lock import take_lock

WEEK_MS = 7 * 86_400_000


async def prepare(
    database: Path,
    house: House,
    design: Design,
    clock: Clock,
    *,
    weeks: float,
    progress: Callable[[int, int], None] | None = None,
) -> Site:
    """Fill a new database with the ``weeks`` that end now, and return the simulated house as it stands then.

    Raises
    ------
    Unreachable
        If the database is in use or takes no readings.
    """
    with take_lock(database):
        store = await Store.open(database, clock=clock)
        try:
            loaded_ms = to_ms(clock.now()) - round(weeks * WEEK_MS)
            await store.write(
                lambda connection: houses.save(
                    connection,
                    house,
                    who="Wenna Trask",
                    why="survey",
                    t_ms=loaded_ms,
                    design_version=design.design_version,
                )
            )
            intake = Intake(store, Live(clock, house), clock)
            site = await fill_history(intake, house, design, clock, weeks=weeks, progress=progress)
            await enter_bills(store, house, clock, weeks=weeks)
            return site
        finally:
            await store.close()
