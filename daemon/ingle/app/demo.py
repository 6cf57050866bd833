"""The demo from the first reading of its history to the last of its live days: a real daemon on a simulated house."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable
from pathlib import Path

from ingle.app.places import shipped
from ingle.app.running import Running, running
from ingle.app.serve import on_signals
from ingle.clock import Clock
from ingle.config.daemon import Settings
from ingle.config.house import read_house_file
from ingle.demo.clock import DemoClock
from ingle.demo.prepare import prepare
from ingle.demo.run import Simulation
from ingle.design import design_house
from ingle.errors import Unreachable

HOUSE_FILE = "tern-house.toml"
LOOPBACK, PORT = "127.0.0.1", 8470


async def demonstrate(
    database: Path,
    machine: Clock,
    *,
    speed: float,
    weeks: float,
    seconds: float | None,
    progress: Callable[[int, int], None],
    ready: Callable[[Running], None],
) -> None:
    """Make a house and its history in a new database, then run it until its time is up or somebody stops it.

    Parameters
    ----------
    machine
        The real clock.
    speed
        Simulated seconds in a real one.
    weeks
        How much history to make.
    seconds
        How many real seconds to run from ``ready`` on; None for until SIGTERM or SIGINT.
    progress
        Told how much of how much history is made.
    ready
        Called once, when pages answer and heaters report.

    Raises
    ------
    Unreachable
        Where the disk takes nothing, or a part that must live has ended.
    """
    house = read_house_file(shipped() / HOUSE_FILE)
    clock = DemoClock(machine, speed=speed)
    site = await prepare(database, house, design_house(house), clock, weeks=weeks, progress=progress)
    settings = Settings(listen=_listen(), broker="embedded", database=str(database), clock="trusted")
    stop = asyncio.Event()
    on_signals(stop)
    async with running(settings, clock) as run:
        clock.run()
        simulation = Simulation(site, clock, run.broker.port, empty=lambda: _tested(run))
        await _live(run, simulation, stop, seconds, ready)


def _tested(run: Running) -> bool:
    """Whether a heating test runs: then the simulated guests have left, as a real house's must."""
    test = run.parts.commands.heating_tests.current
    return test is not None and test.stage in {"settling", "measuring"}


async def _live(
    run: Running, simulation: Simulation, stop: asyncio.Event, seconds: float | None, ready: Callable[[Running], None]
) -> None:
    stopped = asyncio.create_task(stop.wait())
    broken = asyncio.create_task(run.broken())
    heaters = asyncio.create_task(simulation.run())
    tasks = {stopped, broken, heaters}
    ready(run)
    try:
        await asyncio.wait(tasks, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
        if broken.done():
            raise Unreachable(broken.result())
        if heaters.done():
            raise Unreachable(f"the simulated house has stopped: {heaters.exception()}")
    finally:
        await simulation.stop()
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)


def _listen() -> str:
    """Return the usual address, or one with a free port where that is taken."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOOPBACK, PORT))
        except OSError:
            return f"{LOOPBACK}:0"
    return f"{LOOPBACK}:{PORT}"
