"""A link with a real store behind it, and outside clients, on a real broker."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from pathlib import Path

import pytest

from harness import SMALL_HOUSE
from ingle.clock import SystemClock
from ingle.config.house import parse_house
from ingle.intake import Intake
from ingle.live.state import Live
from ingle.model.commands import LimitRequest, Origin, ZoneRequest
from ingle.mqtt.link import MqttLink
from ingle.mqtt.session import Broker
from ingle.store.db import Store

Wait = Callable[[Callable[[], object], str], Awaitable[None]]


@pytest.fixture(name="eventually")
def _eventually() -> Wait:
    """Let the loop run until a condition holds."""

    async def wait(true: Callable[[], object], what: str) -> None:
        loop = asyncio.get_running_loop()
        deadline = loop.time() + 15
        while not true():
            if loop.time() > deadline:
                raise AssertionError(f"did not happen: {what}")
            await asyncio.sleep(0.01)

    return wait


class Recorder:
    """Stands where commands stand and keeps what it was asked."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, ZoneRequest | LimitRequest, Origin]] = []

    async def zone_request(self, zone_id: str, request: ZoneRequest, origin: Origin) -> dict[str, str]:
        """Keep a request to a zone."""
        self.asked.append((zone_id, request, origin))
        return {"id": zone_id}

    async def limit_request(self, request: LimitRequest, origin: Origin) -> None:
        """Keep a request to the supply."""
        self.asked.append(("limit", request, origin))


class Rig:
    """Everything from the link to the database."""

    def __init__(self, store: Store, port: int) -> None:
        self.store = store
        self.clock = SystemClock()
        self.live = Live(self.clock, parse_house(SMALL_HOUSE, "small.toml"))
        self.intake = Intake(store, self.live, self.clock)
        self.commands = Recorder()
        self.broker = Broker(host="127.0.0.1", port=port, client_id="ingle-rig")
        self.links: list[MqttLink] = []

    def link(self, **more: object) -> MqttLink:
        """Return a new link, not started."""
        link = MqttLink(
            self.broker,
            self.intake,
            self.live,
            self.clock,
            hurry=self.store.close_batch,
            **more,  # type: ignore[arg-type]
        )
        link.obey(self.commands)
        self.links.append(link)
        return link


@pytest.fixture(name="rig")
async def _rig(broker: object, tmp_path: Path) -> AsyncIterator[Rig]:
    store = await Store.open(tmp_path / "rig.db", batch_s=0.05)
    rig = Rig(store, broker.port)  # type: ignore[attr-defined]
    yield rig
    for link in rig.links:
        await link.stop()
    await store.close()
