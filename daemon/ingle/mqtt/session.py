"""One connection to the broker, from CONNECT to the loss of it. Each has a paho client of its own.

paho runs its network loop in a thread; messages go over to the event loop once a burst, through a deque and a single
wake-up. Acknowledging is by hand: the writer thread calls ``ack`` after COMMIT. A pending acknowledgement is bound to
its session's client, so one that comes late, after a disconnect, goes nowhere: packet ids start again with a new
session, and an old acknowledgement would delete a new message at the broker.
"""

from __future__ import annotations

import asyncio
import logging
import socket
import threading
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

import paho.mqtt.client as mqtt
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

log = logging.getLogger(__name__)

Protocol = Literal["5", "3.1.1"]
#: Unacknowledged messages that a broker may send us on MQTT 5. Without it, stock brokers stop at 20.
RECEIVE_MAXIMUM = 1000
#: How long the broker keeps our session while we are away [s].
SESSION_EXPIRY_S = 7 * 86_400
#: The broker is away when nothing came for one and a half of these [s].
KEEPALIVE_S = 20
#: Payloads beyond this are not carried over to the loop; what remains of them is their size [bytes].
CARRY_MAX = 65_536
#: QoS 0 topics that may wait at a time; beyond it the oldest goes.
_LATEST_MAX = 2048


class Message(NamedTuple):
    """A message as it came. ``mid`` is 0 for QoS 0, which is not acknowledged."""

    topic: str
    payload: bytes
    retained: bool
    mid: int
    response_topic: str | None
    correlation: bytes | None
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Broker:
    """Where the broker is and how to speak to it. ``password`` is asked anew for every connection."""

    host: str
    port: int = 1883
    client_id: str = "ingle"
    username: str | None = None
    password: Callable[[], str | None] = lambda: None
    #: An embedded broker of 3.1.1 resumes sessions that then receive nothing: there sessions must be clean.
    clean_session: bool = False
    #: The first protocol to try; the other follows when the broker does not answer it.
    protocol: Protocol = "5"


@dataclass(frozen=True, slots=True)
class End:
    """How a session ended: whether it was ever up, in which way it failed, in words."""

    was_up: bool
    kind: Literal["lost", "unreachable", "no-answer", "protocol", "refused"]
    words: str


class Session:
    """A connection attempt and, if it succeeds, the connection.

    Parameters
    ----------
    broker
        Where and as whom.
    protocol
        The version to speak.
    will
        Topic and payload that the broker publishes, retained, when we vanish.
    subscriptions
        Topics to subscribe to, all at QoS 1.
    deliver
        Called on the loop thread with each burst of messages.
    """

    def __init__(
        self,
        broker: Broker,
        protocol: Protocol,
        *,
        will: tuple[str, bytes],
        subscriptions: Sequence[str],
        deliver: Callable[[Session, list[Message]], None],
    ) -> None:
        self.protocol = protocol
        self.new_session = True
        self.refused_topics: tuple[str, ...] = ()
        self._broker = broker
        self._subscriptions = subscriptions
        self._deliver = deliver
        self._loop = asyncio.get_running_loop()
        self._waiting: deque[Message] = deque()
        self._latest: dict[str, Message] = {}
        self._scheduled = False
        self._handed_over = 0
        self._acked = 0
        self._counting = threading.Lock()
        self._ended = asyncio.Event()
        self._up = asyncio.Event()
        self._end: End | None = None
        self._client = self._build(will)

    # On the loop thread.

    async def open(self, connack_s: float) -> bool:
        """Connect and wait for the broker's answer; return whether the session is up."""
        broker = self._broker
        try:
            await asyncio.to_thread(self._connect, broker)
        except (OSError, ValueError) as error:
            self._finish("unreachable", f"{broker.host}:{broker.port} does not answer: {_first_line(error)}")
            return False
        self._client.loop_start()
        waits = [asyncio.ensure_future(event.wait()) for event in (self._up, self._ended)]
        try:
            await asyncio.wait(waits, timeout=connack_s, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for wait in waits:
                wait.cancel()
        if not self._up.is_set():
            self._finish("no-answer", f"no answer to MQTT {self.protocol} within {connack_s:g} s")
        return self._up.is_set() and not self._ended.is_set()

    async def ended(self, within_s: float) -> bool:
        """Wait for the end of the connection for a while; return whether it came."""
        try:
            await asyncio.wait_for(self._ended.wait(), within_s)
        except TimeoutError:
            if self._client._thread is not None:  # noqa: SLF001 - nothing else tells that paho's thread has died
                return False
            self._finish("lost", "the network thread ended")
        return True

    @property
    def pending(self) -> int:
        """How many messages the broker has not been told to forget yet."""
        return self._handed_over - self._acked

    @property
    def end(self) -> End:
        """How it ended."""
        return self._end or End(self._up.is_set(), "lost", "the connection was closed")

    def publish(self, topic: str, payload: bytes, *, expiry_s: int | None = None, **more: Any) -> mqtt.MQTTMessageInfo:  # noqa: ANN401
        """Publish at QoS 1, retained unless ``retain=False``; properties go only where the protocol has them."""
        retain: bool = more.pop("retain", True)
        properties = None
        if self.protocol == "5":
            properties = _properties(PacketTypes.PUBLISH)
            if expiry_s is not None:
                properties.MessageExpiryInterval = expiry_s
            if more.get("correlation") is not None:
                properties.CorrelationData = more["correlation"]
        return self._client.publish(topic, payload, qos=1, retain=retain, properties=properties)

    def subscribe(self, topics: Sequence[str]) -> None:
        """Subscribe to more topics."""
        if topics:
            self._client.subscribe(self._with_options(topics))

    async def close(self, last: tuple[str, bytes] | None = None) -> None:
        """Say goodbye, with a last retained message, and end the network thread."""
        if last is not None and self._up.is_set() and not self._ended.is_set():
            info = self.publish(*last)
            try:
                await asyncio.to_thread(info.wait_for_publish, 2.0)
            except (RuntimeError, ValueError) as error:
                log.warning("the goodbye could not be sent: %s", error)
        await asyncio.to_thread(self._disconnect)

    # On the loop thread or the writer's.

    def ack(self, mids: Sequence[int]) -> None:
        """Tell the broker that messages are dealt with; does nothing once the connection is gone."""
        if self._ended.is_set():
            return
        for mid in mids:
            self._client.ack(mid, 1)
        with self._counting:
            self._acked += len(mids)

    # On paho's network thread. No exception may leave these: it would end the thread without a word.

    def _connected(
        self, client: mqtt.Client, _data: object, flags: mqtt.ConnectFlags, code: ReasonCode, *_: object
    ) -> None:
        if code.is_failure:
            name = str(code).lower()
            kind: Literal["protocol", "refused"] = "protocol" if "protocol version" in name else "refused"
            self._loop.call_soon_threadsafe(self._finish, kind, f"the broker refuses us: {name}")
            return
        self.new_session = not flags.session_present
        client.subscribe(self._with_options(self._subscriptions))
        self._loop.call_soon_threadsafe(self._up.set)

    def _subscribed(self, _client: object, _data: object, _mid: int, codes: list[ReasonCode], *_: object) -> None:
        refused = tuple(str(code) for code in codes if code.is_failure)
        if refused:
            self.refused_topics = refused
            log.error("the broker refuses %d of %d subscriptions: %s", len(refused), len(codes), refused[0])

    def _heard(self, _client: object, _data: object, message: mqtt.MQTTMessage) -> None:
        try:
            self._carry(message)
        except Exception as error:  # noqa: BLE001 - see above
            log.error("a message was dropped: %s: %s", type(error).__name__, error)  # noqa: TRY400 - no tracebacks
            if message.qos:
                self._client.ack(message.mid, message.qos)  # else it would hold its place in the broker's window

    def _carry(self, message: mqtt.MQTTMessage) -> None:
        payload = message.payload
        size = len(payload)
        properties = getattr(message, "properties", None)
        carried = Message(
            topic=message.topic,
            payload=bytes(payload) if size <= CARRY_MAX else b"",
            retained=message.retain,
            mid=message.mid if message.qos else 0,
            response_topic=getattr(properties, "ResponseTopic", None),
            correlation=getattr(properties, "CorrelationData", None),
            size=size,
        )
        if message.qos:
            self._waiting.append(carried)  # bounded by the broker: it waits for our acknowledgements
        else:
            self._latest[carried.topic] = carried
            if len(self._latest) > _LATEST_MAX:
                self._latest.pop(next(iter(self._latest)), None)
        if not self._scheduled:
            self._scheduled = True
            self._loop.call_soon_threadsafe(self._drain)

    def _disconnected(self, _client: object, _data: object, _flags: object, code: ReasonCode, *_: object) -> None:
        words = f"the connection was lost: {str(code).lower()}"
        try:
            self._loop.call_soon_threadsafe(self._finish, "lost" if self._up.is_set() else "no-answer", words)
        except RuntimeError:
            return  # the loop has ended before us

    # Inside.

    def _drain(self) -> None:
        """Hand over what has come. The flag falls first, so that what comes meanwhile schedules anew."""
        self._scheduled = False
        burst: list[Message] = []
        waiting = self._waiting
        while waiting:
            burst.append(waiting.popleft())
        while self._latest:
            try:
                burst.append(self._latest.pop(next(iter(self._latest))))
            except (KeyError, StopIteration, RuntimeError):
                break  # the network thread was quicker; it has scheduled another turn
        if burst and not self._ended.is_set():
            self._handed_over += sum(1 for message in burst if message.mid)
            self._deliver(self, burst)

    def _finish(self, kind: Literal["lost", "unreachable", "no-answer", "protocol", "refused"], words: str) -> None:
        if self._end is None:
            self._end = End(self._up.is_set(), kind, words)
        self._ended.set()

    def _connect(self, broker: Broker) -> None:
        if broker.username is not None:
            self._client.username_pw_set(broker.username, broker.password())
        if self.protocol == "5":
            properties = _properties(PacketTypes.CONNECT)
            properties.ReceiveMaximum = RECEIVE_MAXIMUM
            properties.SessionExpiryInterval = 0 if broker.clean_session else SESSION_EXPIRY_S
            self._client.connect(
                broker.host, broker.port, KEEPALIVE_S, clean_start=broker.clean_session, properties=properties
            )
        else:
            self._client.connect(broker.host, broker.port, KEEPALIVE_S)

    def _disconnect(self) -> None:
        client = self._client
        client.disconnect()
        client.loop_stop()
        # Without these, client and session would hold each other, and its sockets would stay open until a collection.
        client.on_connect = client.on_subscribe = client.on_message = client.on_disconnect = None

    def _with_options(self, topics: Sequence[str]) -> list[tuple[str, Any]]:
        """Ask for the retain flag as published, so that a retained request can be told from a live one."""
        if self.protocol == "5":
            options = SubscribeOptions(qos=1, retainAsPublished=True)
            return [(topic, options) for topic in topics]
        return [(topic, 1) for topic in topics]

    def _build(self, will: tuple[str, bytes]) -> mqtt.Client:
        five = self.protocol == "5"
        client = mqtt.Client(
            CallbackAPIVersion.VERSION2,
            client_id=self._broker.client_id,
            clean_session=None if five else self._broker.clean_session,
            protocol=mqtt.MQTTv5 if five else mqtt.MQTTv311,
            reconnect_on_failure=False,
            manual_ack=True,
        )
        client.suppress_exceptions = True
        client.connect_timeout = 5.0
        client.max_queued_messages_set(10_000)
        client.max_inflight_messages_set(200)
        client.will_set(*will, qos=1, retain=True)
        client.on_socket_open = _no_delay
        client.on_connect = self._connected
        client.on_subscribe = self._subscribed
        client.on_message = self._heard
        client.on_disconnect = self._disconnected
        return client


def _properties(packet: int) -> Properties:
    return Properties(packet)  # type: ignore[no-untyped-call] # paho leaves this one without types


def _no_delay(_client: object, _data: object, sock: object) -> None:
    """Send small packets at once; together with the broker's own setting this is 84 ms less in a closed loop."""
    if isinstance(sock, socket.socket):
        sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)


def _first_line(error: BaseException) -> str:
    return (str(error) or type(error).__name__).splitlines()[0]
