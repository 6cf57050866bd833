"""A running house on a fake clock and a real database, with everything that is handed to the publisher kept."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from fakes import FakeClock
from houses import every_day, make_house, make_zone
from ingle.commands import Commands
from ingle.live import Live
from ingle.live.trust import Trust
from ingle.model.commands import Origin
from ingle.model.decisions import Notice, Wanted
from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.model.instants import to_ms
from ingle.model.now import HeaterNow, ZoneNow
from ingle.model.readings import Reading, Source
from ingle.store import events
from ingle.store.db import Store
from ingle.store.events import Event

WENNA = Origin(who="Wenna", via="http")
HOUSE = make_house(
    make_zone("loft"), make_zone("hall"), programmes=(every_day("loft", ("06:30", "09:00", "occupied")),)
)


class Ledger:
    """A publisher that keeps what it is handed."""

    def __init__(self) -> None:
        self.orders: list[tuple[str, Wanted]] = []
        self.withdrawn: list[str] = []
        self.gone: set[str] = set()
        self.zones: list[ZoneNow] = []
        self.heaters: list[HeaterNow] = []
        self.told: list[tuple[Notice, ...]] = []

    def wanted(self, heater: Heater, zone: Zone, order: Wanted) -> None:
        """Keep an order."""
        assert heater in zone.heaters
        self.orders.append((heater.id, order))

    def withdraw(self, heater_id: str) -> None:
        """Keep a withdrawal."""
        self.withdrawn.append(heater_id)

    def closed(self, heaters: Iterable[str], zones: Iterable[str]) -> None:
        """Keep what is no longer in the house."""
        self.gone.update(heaters, zones)

    def heater_now(self, now: HeaterNow) -> None:
        """Keep a heater's state."""
        self.heaters.append(now)

    def zone_now(self, now: ZoneNow) -> None:
        """Keep a zone's state."""
        self.zones.append(now)

    def notices(self, notices: tuple[Notice, ...]) -> None:
        """Keep notices."""
        self.told.append(notices)

    def newest(self, heater_id: str) -> Wanted:
        """Return the newest order to a heater."""
        return [order for name, order in self.orders if name == heater_id][-1]

    def drain(self) -> list[tuple[str, Wanted]]:
        """Return the orders since the last call."""
        orders, self.orders = self.orders, []
        return orders


class Running:
    """A running house: its parts, and short ways to let time pass."""

    def __init__(self, store: Store, clock: FakeClock, *, trust: Trust | None = None) -> None:
        self.store = store
        self.clock = clock
        self.ledger = Ledger()
        self.live = Live(clock)
        self.trust = trust or Trust(clock, synchronised=lambda: True)
        self.commands = Commands(store, self.live, clock, self.ledger, trust=self.trust)

    async def start(self, house: House | None = HOUSE) -> None:
        """Start with a house, and let every heater's turn come."""
        await self.commands.start(house)
        self.pass_time(60)

    def pass_time(self, seconds: float, every_s: float = 2.0) -> None:
        """Let time pass, tick by tick."""
        passed = 0.0
        while passed < seconds:
            self.clock.jump(every_s)
            passed += every_s
            self.commands.tick()

    def pass_until(self, when: datetime) -> None:
        """Let time pass up to an instant."""
        self.pass_time((when - self.clock.now()).total_seconds())

    def hear(self, heater_id: str, **values: Any) -> None:
        """Take a reading of a heater that arrives now."""
        t_ms = to_ms(self.clock.now())
        self.live.update(Reading(source=Source("heater", heater_id), t_ms=t_ms, arrived_ms=t_ms, **values))

    async def events(self, kind: str | None = None) -> list[Event]:
        """Return what was recorded, oldest first."""
        await self.commands.flush()
        found = await self.store.read(lambda connection: events.since(connection, 0, 100_000))
        return [event for event in found if kind is None or event.kind == kind]
