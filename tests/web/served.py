"""A real ingle over a real store, served in this process, that a test may talk to as heaters do, stop, and start."""

from __future__ import annotations

from pathlib import Path
from typing import Self

import msgspec

from fakes import FakeClock
from ingle.commands.people import People
from ingle.commands.publisher import NoPublisher
from ingle.commands.service import Commands
from ingle.config.daemon import Settings
from ingle.http.serve import Listener, Parts, serve_http
from ingle.intake.intake import Intake
from ingle.live import Live
from ingle.live.trust import Trust
from ingle.model.commands import Origin
from ingle.model.devices import Heater
from ingle.model.house import House, Site, Zone
from ingle.model.instants import to_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.model.week import WEEKDAYS, Period, Programme
from ingle.reports.child import Verdicts
from ingle.store.db import Store

HOUSE = House(
    site=Site(name="Quay Chapel", timezone="Europe/London", outdoor_design_c=-2.0, supply_cap_a=60.0),
    zones=(
        Zone(
            id="vestry",
            name="Vestry",
            floor_area_m2=16.0,
            height_m=2.5,
            given_w_per_k=40.0,
            heaters=(Heater(id="vestry-1", rated_w=1500.0),),
        ),
        Zone(
            id="gallery",
            name="Gallery above the north door and its staircase",
            floor_area_m2=24.0,
            height_m=2.5,
            given_w_per_k=55.0,
            heaters=(Heater(id="gallery-1", rated_w=2400.0), Heater(id="gallery-2", rated_w=2400.0)),
        ),
        Zone(
            id="porch",
            name="Porch",
            floor_area_m2=6.0,
            height_m=2.5,
            given_w_per_k=20.0,
            heaters=(Heater(id="porch-1", rated_w=500.0, portable=True),),
        ),
    ),
    programmes=(
        Programme(zone="vestry", days=WEEKDAYS, periods=(Period(start="05:30", end="22:30", level="occupied"),)),
    ),
)


class Served:
    """A house that is served. Its clock stands still unless a test moves it."""

    def __init__(self, folder: Path) -> None:
        self.clock = FakeClock()
        self.settings = Settings(listen="127.0.0.1:0", database=str(folder / "ingle.db"), clock="trusted")
        self.listener: Listener | None = None
        self.url = ""
        self.verdicts = Verdicts(folder / "ingle.db", self.clock)

    async def start(self, house: House = HOUSE, *, trusted: bool = True) -> Self:
        """Open the store and serve; the second time at the same address as the first."""
        database = Path(self.settings.database)
        self.store = await Store.open(database, clock=self.clock)
        self.live = Live(self.clock)
        trust = Trust(self.clock, synchronised=lambda: False, trusted=trusted)
        self.commands = Commands(self.store, self.live, self.clock, NoPublisher(), trust=trust)
        await self.commands.start()
        if self.live.house != house:
            await self.load(house)
        self.live.set_broker(up=True)
        self.intake = Intake(self.store, self.live, self.clock)
        self.people = People(self.store, self.clock)
        await self.people.start()
        parts = Parts(
            store=self.store,
            live=self.live,
            commands=self.commands,
            intake=self.intake,
            clock=self.clock,
            settings=self.settings,
            verdicts=self.verdicts,
            people=self.people,
        )
        self.listener = await serve_http(parts)
        self.url = self.listener.page.rstrip("/")
        self.settings = msgspec.structs.replace(self.settings, listen=self.url.removeprefix("http://"))
        return self

    async def load(self, house: House) -> None:
        """Make a house the one that runs."""
        await self.commands.load_house(house, origin=Origin(who="test", via="cli"), why="", expected=None)

    async def stop(self) -> None:
        """End as the daemon does: streams first, then the store."""
        if self.listener is not None:
            await self.listener.close()
            self.listener = None
            await self.commands.flush()
            await self.store.close()

    def hear(self, heater: str, temp_c: float, power_w: float) -> None:
        """Let a heater report, and let the daemon's tick see it."""
        self.take(Source("heater", heater), temp_c=temp_c, power_w=power_w)

    def take(self, source: Source = OUTDOOR, *, temp_c: float, power_w: float | None = None) -> None:
        """Let a source report a second later than the last one, and let the daemon's tick see it."""
        self.clock.jump(1)
        t_ms = to_ms(self.clock.now())
        self.intake.accept(Reading(source=source, t_ms=t_ms, arrived_ms=t_ms, temp_c=temp_c, power_w=power_w))
        self.commands.tick()

    def pass_time(self, seconds: float) -> None:
        """Let time pass with nobody reporting."""
        self.clock.jump(seconds)
        self.commands.tick()
