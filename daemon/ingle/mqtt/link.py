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
from ingle.live.state import Live
from ingle.model.instants import to_ms
from ingle.model.profile import PLAIN, Profile
from ingle.model.readings import Reading
from ingle.mqtt import notices, requests
from ingle.mqtt.inbox import Inbox
from ingle.mqtt.orders import Orders
from ingle.mqtt.session import Broker, End, Message, Protocol, Session
from ingle.mqtt.topics import Route, Topics

log = logging.getLogger(__name__)

BACKOFF_FIRST_S: Final = 1.0
BACKOFF_MAX_S: Final = 15.0
#: A connection that ends sooner did not stand: another client with our id may be taking turns with us [s].
_STANDS_S: Final = 30.0
#: How often a quiet link shows that it lives [s].
_BEAT_S: Final = 2.0
#: Unacknowledged messages at which the store's batch is closed early: a broker of 3.1.1 stops at 20 as it is shipped,
#: one of 5 at the maximum that we ask for.
_WINDOW: Final[dict[Protocol, int]] = {"3.1.1": 16, "5": 800}
#: How long a stop waits for what has come to be committed [s].
_SETTLE_S: Final = 1.5
_SETTLE_BEAT_S: Final = 0.01
#: Requests that may be under way at a time.
_REQUESTS: Final = 32


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
        self._house = live.house
        self._unknown_profiles: set[str] = set()
        self._under_way: set[asyncio.Task[None]] = set()
        self.orders = Orders(self._topics, self._profiles, clock, self._send)
        self._inbox = Inbox(self._topics, self._profiles, intake, live, self.orders.reported)
        self._foreign: frozenset[str] = frozenset()
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
        self.state = f"connecting to {self._broker.host}:{self._broker.port}"
        self._task = asyncio.create_task(self._keep(), name="mqtt link")

    async def stop(self) -> None:
        """Say "down", disconnect, end."""
        if self._task is None:
            return
        self._task.cancel()
        await asyncio.gather(self._task, *self._under_way, return_exceptions=True)
        session, self._session = self._session, None
        if session is not None:
            await self._settle(session)
            await session.close((self._topics.supervisor, b"down"))
        self._task = None

    async def _settle(self, session: Session) -> None:
        """Have what has come committed and acknowledged, so that the next start does not get it again."""
        self._hurry()
        beats = round(_SETTLE_S / _SETTLE_BEAT_S)
        while session.pending > 0 and beats > 0 and not await session.ended(_SETTLE_BEAT_S):
            beats -= 1

    # Keeping the session up.

    async def _keep(self) -> None:
        wait_s = BACKOFF_FIRST_S
        protocol: Protocol = self._broker.protocol
        while True:
            begun = self._clock.monotonic()
            end = await self._one(protocol)
            self.progress += 1
            self._down(end)
            if not end.was_up and end.kind in {"no-answer", "protocol"}:
                protocol = "3.1.1" if protocol == "5" else "5"
                if protocol != self._broker.protocol:
                    continue  # at once: this broker is there, it only speaks another version
            else:
                protocol = self._broker.protocol
            if end.was_up and self._clock.monotonic() - begun >= _STANDS_S:
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
        self._foreign = frozenset(self._follow_house())
        session = Session(
            self._broker,
            protocol,
            will=(self._topics.supervisor, b"down"),
            subscriptions=(*self._topics.subscriptions(), *sorted(self._foreign)),
            deliver=self._deliver,
        )
        try:
            if await session.open(self._connack_s):
                self._went_up(session)
                while not await session.ended(_BEAT_S):
                    self.progress += 1
                    self._look_round(session)
        except asyncio.CancelledError:
            if self._session is None:
                await session.close()
            raise
        self._session = None
        await session.close()
        return session.end

    def _look_round(self, session: Session) -> None:
        """Listen where a new house needs it, and tell of topics that the broker refuses."""
        if self._live.house is not self._house:
            before, self._foreign = self._foreign, frozenset(self._follow_house())
            session.subscribe(sorted(self._foreign - before))
        if session.refused_topics:
            self._live.post_notice(notices.refused_topics(session.refused_topics, self._clock.now()))
        else:
            self._live.clear_notice(notices.REFUSED_TOPICS)

    def _went_up(self, session: Session) -> None:
        self._session = session
        self._live.set_broker(up=True)
        self._live.clear_notice(notices.BROKER)
        self.state = f"up, MQTT {session.protocol}, {'new' if session.new_session else 'resumed'} session"
        log.info("broker %s:%d: %s", self._broker.host, self._broker.port, self.state)
        session.publish(self._topics.supervisor, b"up")
        self.orders.connected()

    def _down(self, end: End) -> None:
        if self.state != end.words:
            log.warning("no broker: %s", end.words)
        self.state = end.words
        self._live.set_broker(up=False)
        self._live.post_notice(notices.no_broker(end.words, self._clock.now()))

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
            route = self._inbox.route(message.topic)
            if route is not None and route.way == "request":
                self._request(session, route, message)
                continue
            reading = self._inbox.reading(message, now_ms)
            if reading is not None:
                readings.append(reading)
            if message.mid:
                mids.append(message.mid)
        if readings or mids:
            self._intake.accept_all(readings, lambda: session.ack(mids))
            if session.pending >= _WINDOW[session.protocol]:
                self._hurry()

    def _follow_house(self) -> tuple[str, ...]:
        """Take the house as it is now; return the topics of other firmware, and tell of what nobody has described."""
        self._house = self._live.house
        for key in self._unknown_profiles:
            self._live.clear_notice(key)
        self._unknown_profiles = set()
        for zone in self._house.zones:
            for heater in zone.heaters:
                if heater.profile not in self._profiles:
                    notice = notices.unknown_profile(heater, zone, self._profiles, self._clock.now())
                    self._unknown_profiles.add(notice.key)
                    self._live.post_notice(notice)
        return self._inbox.follow(self._house)

    # Requests.

    def _request(self, session: Session, route: Route, message: Message) -> None:
        if message.size == 0:  # how a kept request is cleared; of one that is too large only the size came over
            self._live.clear_notice(notices.kept_key(message.topic))
            self._ack(session, message)
        elif message.retained:
            self._refuse_kept(route, message)
            self._ack(session, message)
        elif self._commands is None or len(self._under_way) >= _REQUESTS:
            self._inbox.refuse(None, message.topic, "too many requests at a time")
            self._reply(session, message, requests.TOO_MANY)
        else:
            task = asyncio.create_task(self._obey(session, self._commands, route, message))
            self._under_way.add(task)
            task.add_done_callback(self._under_way.discard)

    async def _obey(self, session: Session, commands: requests.Obeys, route: Route, message: Message) -> None:
        self._reply(session, message, await requests.answer(commands, route, message))

    def _reply(self, session: Session, message: Message, reply: bytes) -> None:
        """Answer a request where it asks for it, if that is a place for answers, and be done with it."""
        asked = message.response_topic
        topic = asked if asked and self._topics.answerable(asked) else self._topics.response(message.topic)
        session.publish(topic, reply, retain=False, correlation=message.correlation)
        self._ack(session, message)

    def _ack(self, session: Session, message: Message) -> None:
        if message.mid:
            session.ack([message.mid])

    def _refuse_kept(self, route: Route, message: Message) -> None:
        """Refuse a request that the broker keeps: it would be obeyed again at every start."""
        self._inbox.refuse(None, message.topic, "a retained request")
        if route.kind == "limit" or self._live.house.zone(route.id) is not None:
            self._live.post_notice(notices.kept_request(message.topic, self._clock.now()))
