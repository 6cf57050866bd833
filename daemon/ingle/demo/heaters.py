"""The simulated heaters as real MQTT clients: one connection a gateway, with its last will, its heaters behind it.

Threads: paho runs one network thread a connection and calls back on it; every callback hands over to the event loop,
which owns the simulated house. Nothing may be raised out of a callback, for that would end paho's thread.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

import msgspec
import paho.mqtt.client as mqtt
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.reasoncodes import ReasonCode

from ingle.demo.broker import LOOPBACK

#: Takes a message on the event loop: topic, payload.
Heard = Callable[[str, bytes], None]


class Order(msgspec.Struct, frozen=True, kw_only=True):
    """What a heater reads out of ``.../wanted``; fields it does not know are none of its business."""

    setpoint_c: float
    limit_w: float
    locked: bool = False
    fallback_c: float
    valid_for_s: float
    valid_until: datetime | None = None

    def expires_s(self, now_s: float) -> float:
        """Return the Unix time at which the order runs out; one that was kept for a while has less of its life left."""
        after = now_s + self.valid_for_s
        return after if self.valid_until is None else min(after, self.valid_until.timestamp())

    @classmethod
    def read(cls, payload: bytes) -> Order | None:
        """Return the order in a payload, or None for one that is empty (cleared) or malformed."""
        try:
            return msgspec.json.decode(payload, type=cls)
        except msgspec.MsgspecError:
            return None


class Connection:
    """One MQTT connection.

    Parameters
    ----------
    client_id
        How it names itself to the broker.
    port
        Where the broker listens on loopback.
    link_topics
        Where it says ``up`` when connected and ``down`` when it leaves. The first is also its last will.
    topics
        What it subscribes to, on every connect.
    heard
        Called on the event loop with what arrives.
    """

    def __init__(
        self, client_id: str, port: int, *, link_topics: Sequence[str], topics: Sequence[str], heard: Heard
    ) -> None:
        self._port = port
        self._link_topics = tuple(link_topics)
        self._topics = tuple(topics)
        self._heard = heard
        self._loop = asyncio.get_running_loop()
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, client_id=client_id, protocol=mqtt.MQTTv311)
        self._client.suppress_exceptions = True
        self._client.reconnect_delay_set(1, 5)
        self._client.on_connect = self._on_connect
        self._client.on_message = self._on_message
        self._client.on_socket_open = _no_delay
        if self._link_topics:
            self._client.will_set(self._link_topics[0], b"down", 1, retain=True)

    def start(self) -> None:
        """Connect, and stay connected."""
        self._client.connect_async(LOOPBACK, self._port, keepalive=30)
        self._client.loop_start()

    def publish(self, topic: str, payload: bytes) -> None:
        """Send a message, or keep it for when the connection is back."""
        self._client.publish(topic, payload, 1)

    def stop(self) -> None:
        """Say ``down`` and leave. Blocks until paho's thread has ended."""
        for topic in self._link_topics:
            self._client.publish(topic, b"down", 1, retain=True)
        self._client.disconnect()
        self._client.loop_stop()

    def _on_connect(
        self, client: mqtt.Client, _data: object, _flags: object, reason: ReasonCode, _properties: object
    ) -> None:
        if reason.is_failure:
            return
        if self._topics:
            client.subscribe([(topic, 1) for topic in self._topics])
        for topic in self._link_topics:
            client.publish(topic, b"up", 1, retain=True)

    def _on_message(self, _client: mqtt.Client, _data: object, message: mqtt.MQTTMessage) -> None:
        try:
            self._loop.call_soon_threadsafe(self._heard, message.topic, bytes(message.payload))
        except RuntimeError:
            return  # the loop has closed: the demo is over


def _no_delay(_client: mqtt.Client, _data: object, sock: Any) -> None:  # noqa: ANN401 - a socket of any family
    """Small messages must not wait for each other."""
    sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
