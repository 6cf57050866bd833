"""The embedded broker, spoken to by real clients."""

from __future__ import annotations

import asyncio
import queue
import threading

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from ingle.demo.broker import start_broker
from ingle.errors import Unreachable


def connected(port: int, heard: queue.Queue[tuple[str, bytes]] | None = None, topic: str = "#") -> mqtt.Client:
    """Return a client whose loop runs and which has subscribed."""
    ready = threading.Event()
    client = mqtt.Client(CallbackAPIVersion.VERSION2)
    client.on_connect = lambda c, *_: c.subscribe(topic, 1)
    client.on_subscribe = lambda *_: ready.set()
    if heard is not None:
        client.on_message = lambda _c, _u, message: heard.put((message.topic, message.payload))
    client.connect("127.0.0.1", port)
    client.loop_start()
    assert ready.wait(5)
    return client


async def test_carries_messages_and_keeps_retained_ones() -> None:
    """A message reaches a subscriber, and a retained one a subscriber who comes later."""
    broker = await start_broker()
    heard: queue.Queue[tuple[str, bytes]] = queue.Queue()

    def talk() -> None:
        one = connected(broker.port, heard)
        one.publish("a/b", b"now", 1).wait_for_publish(5)
        assert heard.get(timeout=5) == ("a/b", b"now")
        one.publish("a/kept", b"for later", 1, retain=True).wait_for_publish(5)
        assert heard.get(timeout=5) == ("a/kept", b"for later")
        other = connected(broker.port, heard, "a/#")
        assert heard.get(timeout=5) == ("a/kept", b"for later")
        for client in (one, other):
            client.disconnect()
            client.loop_stop()

    await asyncio.to_thread(talk)
    await broker.stop()


async def test_a_taken_port_is_said_plainly() -> None:
    """When the port is taken the error says which, and no traceback is logged."""
    broker = await start_broker()
    with pytest.raises(Unreachable, match=str(broker.port)):
        await start_broker(broker.port)
    await broker.stop()


async def test_mqtt_5_is_refused_and_noise_leaves_no_trace(caplog: pytest.LogCaptureFixture) -> None:
    """An MQTT 5 client is refused in words of 3.1.1; whatever else arrives, nothing is logged and all is closed."""
    broker = await start_broker()
    hello_5 = bytes([0x10, 0x10, 0, 4]) + b"MQTT" + bytes([5, 2, 0, 60, 0, 0, 3]) + b"abc"
    with_properties = bytes([0x10, 0x13, 0, 4]) + b"MQTT" + bytes([5, 2, 0, 60, 3, 33, 0, 10, 0, 3]) + b"abc"
    reader, writer = await asyncio.open_connection("127.0.0.1", broker.port)
    writer.write(hello_5)
    async with asyncio.timeout(10):
        assert await reader.read() == b"\x20\x02\x00\x01"  # CONNACK, return code 1: protocol version not taken
    writers = [writer]
    for noise in (with_properties, b"\x00\x00", b"\x30\x03\x00\x01a", b"GET / HTTP/1.1\r\n\r\n", b"\xff" * 9):
        _, writer = await asyncio.open_connection("127.0.0.1", broker.port)
        writer.write(noise)
        await writer.drain()
        writers.append(writer)
    async with asyncio.timeout(10):
        await broker.stop()
    for writer in writers:
        writer.close()
    assert caplog.text == ""


async def test_stops_with_clients_on_it() -> None:
    """Stopping does not wait for clients to leave, and leaves no connection open."""
    broker = await start_broker()
    client = await asyncio.to_thread(connected, broker.port)
    reader, writer = await asyncio.open_connection("127.0.0.1", broker.port)
    async with asyncio.timeout(10):
        await broker.stop()
        assert await reader.read() == b""
    writer.close()
    await writer.wait_closed()
    await asyncio.to_thread(client.loop_stop)
