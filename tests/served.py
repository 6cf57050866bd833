"""A served house: real store, live state, commands and intake behind a real server on a free port."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import aiohttp

from fakes import FakeClock
from houses import every_day, make_house, make_zone
from ingle.commands import Commands
from ingle.commands.people import People
from ingle.commands.publisher import NoPublisher
from ingle.config.daemon import Settings
from ingle.http.serve import Listener, Parts, serve_http
from ingle.intake.intake import Intake
from ingle.live import Live
from ingle.live.trust import Trust
from ingle.model.commands import Origin
from ingle.model.decisions import Wanted
from ingle.model.devices import Heater
from ingle.model.house import House, Zone
from ingle.reports.child import Verdicts
from ingle.store.db import Store

HOUSE = make_house(
    make_zone("loft", Heater(id="loft-1", rated_w=1500.0), Heater(id="loft-2", rated_w=500.0), given_w_per_k=40.0),
    make_zone("hall", Heater(id="hall-1", rated_w=2000.0), given_w_per_k=30.0),
    make_zone("store", Heater(id="store-1", rated_w=750.0, portable=True), given_w_per_k=10.0),
    programmes=(every_day("loft", ("06:30", "09:00", "occupied")),),
)

ASSESSMENT = {
    "from": "2026-01-01",
    "to": "2026-01-12",
    "design_version": "d1",
    "method": "en12831",
    "method_version": 2,
    "zones": [],
}
#: A child that says what it was asked, as ``ingle assess --json`` would say its verdicts.
CHILD = (sys.executable, "-c", f"import sys, json; print({json.dumps(json.dumps(ASSESSMENT))})")


@dataclass
class Told(NoPublisher):
    """A publisher that remembers the orders it was handed."""

    orders: list[tuple[str, Wanted]] = field(default_factory=list)

    def wanted(self, heater: Heater, zone: Zone, order: Wanted) -> None:
        """Remember an order."""
        del zone
        self.orders.append((heater.id, order))


@dataclass
class Served:
    """A running server and the rooms behind it."""

    parts: Parts
    listener: Listener
    client: aiohttp.ClientSession
    clock: FakeClock
    told: Told

    def url(self, path: str) -> str:
        """Return the address of a path."""
        return self.listener.page.rstrip("/") + path

    async def get(self, path: str, **options: Any) -> Any:
        """Return the JSON behind a path, which must be there."""
        async with self.client.get(self.url(path), **options) as answer:
            assert answer.status == 200, await answer.text()
            return await answer.json()

    async def post(self, path: str, body: object, status: int = 200) -> Any:
        """Post JSON and return the JSON that comes back."""
        async with self.client.post(self.url(path), json=body) as answer:
            assert answer.status == status, await answer.text()
            return await answer.json(content_type=None)


@asynccontextmanager
async def serving(
    folder: Path, house: House = HOUSE, *, empty: Path | None = None, command: Sequence[str] = CHILD
) -> AsyncIterator[Served]:
    """Serve a house from a fresh database (a copy of an ``empty`` one costs no migration), and stop in order."""
    if empty is not None:
        shutil.copy(empty, folder / "ingle.db")
    clock = FakeClock()
    store = await Store.open(folder / "ingle.db", batch_s=0.01, clock=clock)
    live, told = Live(clock), Told()
    trust = Trust(clock, synchronised=lambda: False, trusted=True)
    commands = Commands(store, live, clock, told, trust=trust)
    await commands.load_house(house, origin=Origin(who="test", via="cli"), why="", expected=None)
    await commands.start()
    people = People(store, clock)
    await people.start()
    parts = Parts(
        store=store,
        live=live,
        commands=commands,
        intake=Intake(store, live, clock),
        clock=clock,
        settings=Settings(listen="127.0.0.1:0", hosts=("tern.example",)),
        verdicts=Verdicts(store.path, clock, command=command),
        people=people,
    )
    async with await serve_http(parts) as listener, aiohttp.ClientSession() as client:
        yield Served(parts, listener, client, clock, told)
    await parts.verdicts.close()
    await store.close()
