"""The simulated house live, heard and ordered by outside clients over real brokers."""

from __future__ import annotations

import asyncio
import json
import queue
import threading
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from datetime import UTC, datetime
from itertools import pairwise
from typing import Any

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from conftest import Broker
from ingle.clock import SystemClock
from ingle.demo.broker import start_broker
from ingle.demo.clock import DemoClock
from ingle.demo.flaws import TERN_HOUSE
from ingle.demo.heaters import Order
from ingle.demo.run import Simulation
from ingle.demo.site import Site
from ingle.model.design import Design
from ingle.model.house import House


class Listener:
    """An outside client that hears everything."""

    def __init__(self, port: int) -> None:
        self.heard: queue.Queue[tuple[str, bytes]] = queue.Queue()
        self._ready = threading.Event()
        self.client = mqtt.Client(CallbackAPIVersion.VERSION2)
        self.client.on_connect = lambda client, *_: client.subscribe("ingle/#", 1)
        self.client.on_subscribe = lambda *_: self._ready.set()
        self.client.on_message = lambda _client, _data, message: self.heard.put((message.topic, message.payload))
        self.client.connect("127.0.0.1", port)
        self.client.loop_start()
        assert self._ready.wait(10)

    def wait_for(self, topic: str, fits: Callable[[Any], bool] = lambda _: True, within_s: float = 20.0) -> Any:
        """Return the first payload on a topic that fits; numbers and words come as they are."""
        deadline = threading.Event()
        timer = threading.Timer(within_s, deadline.set)
        timer.start()
        try:
            while not deadline.is_set():
                with suppress(queue.Empty):
                    came, payload = self.heard.get(timeout=0.2)
                    if came != topic:
                        continue
                    value = json.loads(payload) if payload[:1] == b"{" else payload.decode()
                    if fits(value):
                        return value
        finally:
            timer.cancel()
        raise AssertionError(f"nothing fitting on {topic} within {within_s} s")

    def close(self) -> None:
        """Leave."""
        self.client.disconnect()
        self.client.loop_stop()


@asynccontextmanager
async def living(house: House, design: Design, port: int, speed: float = 1.0) -> AsyncIterator[Simulation]:
    """Run Tern House on a broker."""
    clock = DemoClock(SystemClock(), speed=speed)
    site = Site(house, design, flaws=TERN_HOUSE, start_s=clock.now().timestamp())
    simulation = Simulation(site, clock, port)
    clock.run()
    task = asyncio.create_task(simulation.run())
    try:
        yield simulation
    finally:
        await simulation.stop()
        await task


@pytest.fixture(name="port", params=["embedded", "mosquitto"])
async def _port(request: pytest.FixtureRequest, broker: Broker) -> AsyncIterator[int]:
    if request.param == "mosquitto":
        yield broker.port
        return
    embedded = await start_broker()
    yield embedded.port
    await embedded.stop()


async def test_heaters_report_and_obey(tern_house: House, tern_design: Design, port: int) -> None:
    """Heaters say that they are up, report, and echo an order with the setpoint it asked for; so on either broker."""
    listener = await asyncio.to_thread(Listener, port)
    async with living(tern_house, tern_design, port, speed=10):
        assert await asyncio.to_thread(listener.wait_for, "ingle/gateway/gw-west/link") == "up"
        first = await asyncio.to_thread(listener.wait_for, "ingle/heater/room-7-h1/reading")
        assert {"t", "boot", "seq", "power_w", "energy_wh", "energy_is", "voltage_v", "temp_c", "setpoint_c"} == set(
            first
        )
        order = {"setpoint_c": 22.5, "limit_w": 1500, "locked": True, "fallback_c": 12, "valid_for_s": 1800}
        listener.client.publish("ingle/heater/room-7-h1/wanted", json.dumps(order), 1, retain=True)
        echo = await asyncio.to_thread(
            listener.wait_for, "ingle/heater/room-7-h1/reading", lambda value: value["setpoint_c"] == 22.5
        )
        assert echo["seq"] > first["seq"]
        outdoor = await asyncio.to_thread(listener.wait_for, "ingle/outdoor/reading")
        assert set(outdoor) == {"t", "temp_c", "wind_m_per_s", "irradiance_w_per_m2"}
    assert await asyncio.to_thread(listener.wait_for, "ingle/gateway/gw-west/link", lambda value: value == "down")
    await asyncio.to_thread(listener.close)


async def test_time_runs_at_the_speed(tern_house: House, tern_design: Design) -> None:
    """At speed 60 a heater's reports are about a simulated minute apart, one a second."""
    broker = await start_broker()
    listener = await asyncio.to_thread(Listener, broker.port)
    async with living(tern_house, tern_design, broker.port, speed=60):
        times = []
        for _ in range(4):
            value = await asyncio.to_thread(listener.wait_for, "ingle/heater/room-1-h1/reading")
            times.append(datetime.fromisoformat(value["t"]).timestamp())
    steps = [later - sooner for sooner, later in pairwise(times[1:])]
    assert all(40 < step < 200 for step in steps)
    await asyncio.to_thread(listener.close)
    await broker.stop()


async def test_a_lost_connection_leaves_its_will_and_comes_back(
    tern_house: House, tern_design: Design, broker: Broker
) -> None:
    """When a gateway's socket dies the broker says ``down`` for it, and the gateway connects again by itself."""
    listener = await asyncio.to_thread(Listener, broker.port)
    async with living(tern_house, tern_design, broker.port) as simulation:
        await asyncio.to_thread(listener.wait_for, "ingle/heater/loft-1/link")
        sock = simulation._links["gw-west"]._client.socket()
        assert sock is not None
        sock.shutdown(2)
        for word in ("down", "up"):
            await asyncio.to_thread(
                listener.wait_for, "ingle/gateway/gw-west/link", lambda value, word=word: value == word
            )
    await asyncio.to_thread(listener.close)


async def test_nonsense_orders_are_ignored(tern_house: House, tern_design: Design, broker: Broker) -> None:
    """An empty, malformed or half order changes nothing and breaks nothing."""
    listener = await asyncio.to_thread(Listener, broker.port)
    async with living(tern_house, tern_design, broker.port):
        await asyncio.to_thread(listener.wait_for, "ingle/heater/room-1-h1/link")
        for nonsense in (b"", b"{", b"\xff", b'{"setpoint_c": 30}', b'{"setpoint_c": "hot"}'):
            listener.client.publish("ingle/heater/room-1-h1/wanted", nonsense, 1)
        order = {"setpoint_c": 18.5, "limit_w": 0, "fallback_c": 12, "valid_for_s": 60, "new_field": 1}
        listener.client.publish("ingle/heater/room-1-h1/wanted", json.dumps(order), 1)
        value = await asyncio.to_thread(
            listener.wait_for, "ingle/heater/room-1-h1/reading", lambda value: value["setpoint_c"] != 16.0
        )
        assert value["setpoint_c"] == 18.5
        assert value["power_w"] == 0.0
    await asyncio.to_thread(listener.close)


def test_a_kept_order_has_less_of_its_life_left() -> None:
    """A retained order met late runs out when it says, not 1800 s after it was met."""
    until = datetime(2026, 1, 12, 6, 30, tzinfo=UTC)
    order = Order.read(
        b'{"setpoint_c":20,"limit_w":500,"fallback_c":7,"valid_for_s":1800,"valid_until":"2026-01-12T06:30:00Z"}'
    )
    assert order is not None
    assert order.expires_s(until.timestamp() - 1800) == until.timestamp()
    assert order.expires_s(until.timestamp() - 60) == until.timestamp()
