"""What the messages of a burst mean: readings to be kept, links to be noted, requests to be carried out.

A message is looked at once. Whatever is wrong with one, those behind it go on: it is refused with its reason, counted,
and acknowledged like the others, or it would come again for ever.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from typing import Final

from ingle.intake import Intake
from ingle.live.links import LinkKind
from ingle.live.state import Live
from ingle.model.house import House
from ingle.model.profile import PLAIN, Profile
from ingle.model.readings import Reading, Source
from ingle.mqtt import foreign, payloads
from ingle.mqtt.payloads import Refused
from ingle.mqtt.session import Message
from ingle.mqtt.topics import Route, Topics, source_of

log = logging.getLogger(__name__)

#: Topics whose routes are remembered.
_ROUTES_MAX: Final = 4096

#: What is told of every setpoint that a heater says it holds.
Reported = Callable[[str, float | None], None]


class Inbox:
    """Reads messages, in ingle's own way of speaking and in that of other firmware. Loop thread.

    Parameters
    ----------
    topics, profiles
        The two ways of speaking.
    intake
        Counts what is refused.
    live
        Learns of links.
    reported
        Compares what heaters hold with what they were told.
    """

    def __init__(
        self, topics: Topics, profiles: Mapping[str, Profile], intake: Intake, live: Live, reported: Reported
    ) -> None:
        self._topics = topics
        self._profiles = profiles
        self._intake = intake
        self._live = live
        self._reported = reported
        self._routes: dict[str, Route | None] = {}
        self._foreign: dict[str, tuple[str, Profile]] = {}

    def follow(self, house: House) -> tuple[str, ...]:
        """Take a house; return the topics on which its heaters of other firmware report."""
        self._foreign = {
            topic: (heater.id, profile)
            for zone in house.zones
            for heater in zone.heaters
            if (profile := self._profiles.get(heater.profile)) is not None and profile.id != PLAIN.id
            for topic in foreign.topics(profile, heater.id)
        }
        return tuple(sorted(self._foreign))

    def route(self, topic: str) -> Route | None:
        """Return what a topic is about; None for one that is not ingle's own."""
        try:
            return self._routes[topic]
        except KeyError:
            if len(self._routes) >= _ROUTES_MAX:
                self._routes.clear()
            route = self._routes[topic] = self._topics.route(topic)
            return route

    def reading(self, message: Message, now_ms: int) -> Reading | None:
        """Return the reading that a message holds; None for a link, which is noted, and for what is refused."""
        try:
            known = self._foreign.get(message.topic)
            return self._own(message, now_ms) if known is None else self._foreign_one(message, now_ms, *known)
        except Exception as error:  # noqa: BLE001 - what breaks the reader is set aside; see the head of this file
            self._intake.refuse(None, f"it broke the reader: {type(error).__name__}")
            log.error("%s is set aside: %s: %s", message.topic, type(error).__name__, error)  # noqa: TRY400
            return None

    def refuse(self, source: Source | None, topic: str, why: str) -> None:
        """Count a message that cannot be taken."""
        self._intake.refuse(source, why)
        log.debug("refused %s: %s", topic, why)

    def _own(self, message: Message, now_ms: int) -> Reading | None:
        route = self.route(message.topic)
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
            self.refuse(source, message.topic, str(why))
            return None
        if source.kind == "heater" and not message.retained:
            self._reported(source.id, reading.setpoint_c)
        return reading

    def _link_word(self, route: Route, payload: bytes) -> None:
        if payload:  # an empty one clears what the broker kept
            kind: LinkKind = "gateway" if route.kind == "gateway" else "heater"
            self._live.link(kind, route.id, up=payloads.link(payload))

    def _foreign_one(self, message: Message, now_ms: int, heater_id: str, profile: Profile) -> Reading | None:
        source = Source("heater", heater_id)
        try:
            if profile.link is not None and profile.link.topic.replace("{heater}", heater_id) == message.topic:
                self._live.link("heater", heater_id, up=bool(foreign.heard(profile.link, message.payload)))
                return None
            reading = foreign.reading(
                profile, heater_id, message.topic, message.payload, now_ms, retained=message.retained
            )
        except Refused as why:
            self.refuse(source, message.topic, str(why))
            return None
        if not message.retained:
            self._reported(heater_id, reading.setpoint_c)
        return reading
