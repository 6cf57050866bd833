"""The link to the broker: keeps a session up, routes what comes in, carries what goes out.

A connection that is lost is tried again with a back-off that doubles up to a cap, with jitter, so that a house full of
clients does not come back at the same instant. MQTT 5 is tried first; a broker that does not answer it within a few
seconds, or refuses it, is spoken to in 3.1.1 until that connection ends.
"""

from __future__ import annotations

import asyncio
import logging
import random
from collections.abc import Callable, Mapping
from typing import Final

from ingle.clock import Clock
from ingle.intake import Intake
from ingle.live.links import LinkKind
from ingle.live.state import Live
from ingle.model.decisions import Notice
from ingle.model.instants import to_ms
from ingle.model.profile import PLAIN, Profile
from ingle.model.readings import Reading, Source
from ingle.mqtt import foreign, payloads, requests
from ingle.mqtt.orders import Orders
from ingle.mqtt.payloads import Refused
from ingle.mqtt.session import Broker, End, Message, Protocol, Session
from ingle.mqtt.topics import Route, Topics, source_of

log = logging.getLogger(__name__)

BACKOFF_FIRST_S: Final = 1.0
BACKOFF_MAX_S: Final = 15.0
#: How often a quiet link shows that it lives [s].
_BEAT_S: Final = 2.0
#: On 3.1.1 a stock broker stops at 20 unacknowledged messages: the store's batch must close before.
_WINDOW_311: Final = 16
#: Requests that may be under way at a time.
_REQUESTS: Final = 32
#: Topics whose routes are remembered.
_ROUTES_MAX: Final = 4096


class MqttLink:
    """The daemon's connection to its broker. Loop thread, except where said.

    Parameters
    ----------
    broker
        Where and as whom.
    intake, commands, live, clock
        Where readings and requests go, what the links and the house are told to, and the time.
    root
        First part of every topic.
    profiles
        Firmware profiles by id, besides the plain one.
    hurry
        Asks the store to close its batch.
    connack_s
        How long the broker may take to answer [s].
    """

    def __init__(
        self,
        broker: Broker,
        intake: Intake,
        live: Live,
        clock: Clock,
        *,
        root: str = "ingle",
        profiles: Mapping[str, Profile] | None = None,
        hurry: Callable[[], None] = lambda: None,
        connack_s: float = 5.0,
    ) -> None:
        self._broker = broker
        self._intake = intake
        self._live = live
        self._clock = clock
        self._topics = Topics(root)
        self._profiles = {PLAIN.id: PLAIN, **(profiles or {})}
        self._hurry = hurry
        self._connack_s = connack_s
        self._commands: requests.Obeys | None = None
        self._session: Session | None = None
        self._task: asyncio.Task[None] | None = None
        self._routes: dict[str, Route | None] = {}
        self._foreign: dict[str, tuple[str, Profile]] = {}
        self._house = live.house
        self._under_way: set[asyncio.Task[None]] = set()
        self.orders = Orders(
            self._topics, self._profiles, clock, self._send, tell=live.post_notice, untell=live.clear_notice
        )
        #: Grows while the link lives, connected or trying; the watchdog looks at it.
        self.progress = 0
        #: What a person reads about the link.
        self.state = "not started"

    def obey(self, commands: requests.Obeys) -> None:
        """Say who carries out requests; commands need the link's orders first, so it comes after."""
        self._commands = commands

    @property
    def up(self) -> bool:
        """Whether there is a connection."""
        return self._session is not None

    async def start(self) -> None:
        """Begin to connect; returns at once."""
        self._task = asyncio.create_task(self._keep(), name="mqtt link")

    async def stop(self) -> None:
        """Say "down", disconnect, end."""
        if self._task is None:
            return
        self._task.cancel()
        await asyncio.gather(self._task, *self._under_way, return_exceptions=True)
        session, self._session = self._session, None
        if session is not None:
            await session.close((self._topics.supervisor, b"down"))
        self._task = None

    # Keeping the session up.

    async def _keep(self) -> None:
        wait_s = BACKOFF_FIRST_S
        protocol: Protocol = self._broker.protocol
        while True:
            end = await self._one(protocol)
            self.progress += 1
            self._down(end)
            if not end.was_up and end.kind in {"no-answer", "protocol"}:
                protocol = "3.1.1" if protocol == "5" else "5"
                if protocol != self._broker.protocol:
                    continue  # at once: this broker is there, it only speaks another version
            else:
                protocol = self._broker.protocol
            if end.was_up:
                wait_s = BACKOFF_FIRST_S
            elif end.kind == "refused":
                wait_s = BACKOFF_MAX_S
            await self._wait(wait_s * random.uniform(0.5, 1.0))  # noqa: S311 - spreads clients, hides nothing
            wait_s = min(wait_s * 2, BACKOFF_MAX_S)

    async def _wait(self, seconds: float) -> None:
        while seconds > 0:
            await asyncio.sleep(min(seconds, _BEAT_S))
            seconds -= _BEAT_S
            self.progress += 1

    async def _one(self, protocol: Protocol) -> End:
        """Live through one session."""
        self.state = f"connecting to {self._broker.host}:{self._broker.port}"
        session = Session(
            self._broker,
            protocol,
            will=(self._topics.supervisor, b"down"),
            subscriptions=(*self._topics.subscriptions(), *self._foreign_topics()),
            deliver=self._deliver,
        )
        try:
            if await session.open(self._connack_s):
                self._went_up(session)
                while not await session.ended(_BEAT_S):
                    self.progress += 1
                    self._follow_house(session)
        except asyncio.CancelledError:
            if self._session is None:
                await session.close()
            raise
        self._session = None
        await session.close()
        return session.end

    def _went_up(self, session: Session) -> None:
        self._session = session
        self._live.set_broker(up=True)
        self._live.clear_notice("broker")
        self.state = f"up, MQTT {session.protocol}, {'new' if session.new_session else 'resumed'} session"
        log.info("broker %s:%d: %s", self._broker.host, self._broker.port, self.state)
        session.publish(self._topics.supervisor, b"up")
        self.orders.connected()

    def _down(self, end: End) -> None:
        if self.state != end.words:
            log.warning("no broker: %s", end.words)
        self.state = end.words
        self._live.set_broker(up=False)
        self._live.post_notice(
            Notice(
                key="broker",
                severity="attention",
                zone=None,
                cause=f"The broker cannot be used: {end.words}.",
                effect="Heaters keep their last orders, and their fall-back temperature when these lapse.",
                next_step="Check that the broker runs and that its address, user and password are right.",
                since=self._clock.now(),
            )
        )

    # What goes out.

    def _send(self, topic: str, payload: bytes, *, expiry_s: int | None = None, retain: bool = True) -> None:
        if self._session is not None:
            self._session.publish(topic, payload, expiry_s=expiry_s, retain=retain)

    # What comes in.

    def _deliver(self, session: Session, burst: list[Message]) -> None:
        """Take a burst: readings together, the rest one by one."""
        readings: list[Reading] = []
        mids: list[int] = []
        now_ms = to_ms(self._clock.now())
        for message in burst:
            if message.topic in self._foreign:
                reading = self._foreign_reading(message, now_ms)
            else:
                route = self._route(message.topic)
                if route is not None and route.way == "request":
                    self._request(session, route, message)
                    continue
                reading = self._plain(route, message, now_ms)
            if reading is not None:
                readings.append(reading)
            if message.mid:
                mids.append(message.mid)
        if readings or mids:
            self._intake.accept_all(readings, lambda: session.ack(mids))
            if session.protocol == "3.1.1" and len(mids) >= _WINDOW_311:
                self._hurry()

    def _route(self, topic: str) -> Route | None:
        try:
            return self._routes[topic]
        except KeyError:
            if len(self._routes) >= _ROUTES_MAX:
                self._routes.clear()
            route = self._routes[topic] = self._topics.route(topic)
            return route

    def _plain(self, route: Route | None, message: Message, now_ms: int) -> Reading | None:
        """Return the reading of a message on one of ingle's own topics; links are taken on the way."""
        if route is None:
            self._intake.refuse(None, "an unknown topic")
            return None
        source = None if route.way == "link" else source_of(route)
        try:
            if message.size > payloads.PAYLOAD_MAX:
                raise Refused(f"{message.size} bytes is too much; allowed: {payloads.PAYLOAD_MAX}")  # noqa: TRY301
            if source is None:
                self._link_word(route, message.payload)
                return None
            reading = payloads.reading(source, message.payload, now_ms, retained=message.retained)
        except Refused as why:
            self._refuse(source, message.topic, str(why))
            return None
        if source.kind == "heater" and not message.retained:
            self.orders.reported(source.id, reading.setpoint_c)
        return reading

    def _link_word(self, route: Route, payload: bytes) -> None:
        if payload:
            kind: LinkKind = "gateway" if route.kind == "gateway" else "heater"
            self._live.link(kind, route.id, up=payloads.link(payload))

    def _refuse(self, source: Source | None, topic: str, why: str) -> None:
        self._intake.refuse(source, why)
        log.debug("refused %s: %s", topic, why)

    # Foreign firmware.

    def _foreign_topics(self) -> tuple[str, ...]:
        """Read the house's heaters anew and return the topics of those that speak otherwise."""
        self._house = self._live.house
        self._foreign = {
            topic: (heater.id, profile)
            for zone in self._house.zones
            for heater in zone.heaters
            if (profile := self._profiles.get(heater.profile)) is not None and profile.id != PLAIN.id
            for topic in foreign.topics(profile, heater.id)
        }
        return tuple(sorted(self._foreign))

    def _follow_house(self, session: Session) -> None:
        if self._live.house is not self._house:
            known = frozenset(self._foreign)
            session.subscribe([topic for topic in self._foreign_topics() if topic not in known])

    def _foreign_reading(self, message: Message, now_ms: int) -> Reading | None:
        heater_id, profile = self._foreign[message.topic]
        source = Source("heater", heater_id)
        try:
            if profile.link is not None and profile.link.topic.replace("{heater}", heater_id) == message.topic:
                self._live.link("heater", heater_id, up=bool(foreign.heard(profile.link, message.payload)))
                return None
            reading = foreign.reading(
                profile, heater_id, message.topic, message.payload, now_ms, retained=message.retained
            )
        except Refused as why:
            self._refuse(source, message.topic, str(why))
            return None
        if not message.retained:
            self.orders.reported(heater_id, reading.setpoint_c)
        return reading

    # Requests.

    def _request(self, session: Session, route: Route, message: Message) -> None:
        if message.retained:
            self._refuse_kept(message)
            if message.mid:
                session.ack([message.mid])
            return
        if self._commands is None or len(self._under_way) >= _REQUESTS:
            self._refuse(None, message.topic, "too many requests at a time")
            return  # not acknowledged: it comes again with the next connection
        task = asyncio.create_task(self._obey(session, self._commands, route, message))
        self._under_way.add(task)
        task.add_done_callback(self._under_way.discard)

    async def _obey(self, session: Session, commands: requests.Obeys, route: Route, message: Message) -> None:
        reply = await requests.answer(commands, route, message)
        asked = message.response_topic
        topic = asked if asked and self._topics.answerable(asked) else self._topics.response(message.topic)
        session.publish(topic, reply, retain=False, correlation=message.correlation)
        if message.mid:
            session.ack([message.mid])

    def _refuse_kept(self, message: Message) -> None:
        """Refuse a request that the broker keeps: it would be obeyed again at every start."""
        if not message.payload:
            return
        self._refuse(None, message.topic, "a retained request")
        self._live.post_notice(
            Notice(
                key=f"kept-request-{message.topic}"[:120],
                severity="attention",
                zone=None,
                cause=f"A request lies retained at the broker on {message.topic}.",
                effect="It was refused: a kept request would be carried out again at every start.",
                next_step="Publish requests without the retain flag, and clear the kept one with an empty message.",
                since=self._clock.now(),
            )
        )
