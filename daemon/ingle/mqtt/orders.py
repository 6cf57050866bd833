"""Orders on their way to heaters: kept, sent, sent again until the heater echoes them.

An order is absolute and expires by itself, so sending it once more does no harm. The newest of each heater is kept
here, and goes out again on every connection: the broker is not trusted to remember. A heater that reports another
setpoint than it was ordered gets the order again, at most three times and ever more slowly. Telling a person is not
done here: whether a heater holds what it was ordered is seen from the state of now, however it is driven (``control``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple, Protocol

from ingle.clock import Clock
from ingle.model.base import Result
from ingle.model.decisions import Notice, Wanted
from ingle.model.devices import Heater
from ingle.model.house import Zone
from ingle.model.now import HeaterNow, ZoneNow
from ingle.model.profile import PLAIN, Profile
from ingle.mqtt.foreign import said
from ingle.mqtt.payloads import to_json
from ingle.mqtt.topics import Topics

#: After how long without an echo an order is sent again, each try [s].
ECHO_WAITS_S: Final = (10.0, 30.0, 90.0)
#: Setpoints that differ by less are the same: heaters round to half or tenth degrees [K].
SAME_K: Final = 0.26


class Outlet(Protocol):
    """Where messages go out while there is a connection."""

    def __call__(self, topic: str, payload: bytes, *, expiry_s: int | None = None, retain: bool = True) -> None:
        """Publish at QoS 1, or do nothing without a connection."""


class Standing(NamedTuple):
    """The newest order to a heater and the messages that carry it."""

    order: Wanted
    messages: tuple[tuple[str, bytes, bool], ...]


@dataclass
class Echo:
    """How an order was received: since when it is unechoed [s], and how often it was sent again."""

    sent_at: float
    tries: int = 0


class NoticesNow(Result, frozen=True, kw_only=True):
    """What a person should know now, as one message."""

    notices: tuple[Notice, ...]


class Orders:
    """Fills the ``Publisher`` of ``commands``.

    Parameters
    ----------
    topics
        ingle's own topics.
    profiles
        Firmware profiles by id.
    clock
        Times the echoes.
    send
        Where messages go out.
    """

    def __init__(self, topics: Topics, profiles: Mapping[str, Profile], clock: Clock, send: Outlet) -> None:
        self._topics = topics
        self._profiles = profiles
        self._clock = clock
        self._send = send
        self._standing: dict[str, Standing] = {}
        self._echoes: dict[str, Echo] = {}
        self._states: dict[str, bytes] = {}
        self._cleared: set[str] = set()

    # What commands hands over.

    def wanted(self, heater: Heater, zone: Zone, order: Wanted) -> None:
        """Send an order and keep it."""
        del zone
        known = self._standing.get(heater.id)
        if known is None or known.order.setpoint_c != order.setpoint_c:
            self._echoes.pop(heater.id, None)
            if self._takes_setpoints(heater):
                self._echoes[heater.id] = Echo(self._clock.monotonic())
        messages = self._messages(heater, order)
        self._standing[heater.id] = Standing(order, messages)
        self._cleared.difference_update(topic for topic, _, _ in messages)
        self._carry(heater.id)

    def withdraw(self, heater_id: str) -> None:
        """Take an order back: the retained copy goes, be it from an earlier life, and nothing is sent again."""
        standing = self._standing.pop(heater_id, None)
        self._echoes.pop(heater_id, None)
        if standing is None:
            self._clear(self._topics.wanted(heater_id))
        else:
            self._clear(*(topic for topic, _, retain in standing.messages if retain))

    def closed(self, heaters: Iterable[str], zones: Iterable[str]) -> None:
        """Take back the states of what the house no longer has: kept at the broker they would look like news."""
        self._clear(*map(self._topics.heater_now, heaters), *map(self._topics.zone_now, zones))

    def heater_now(self, now: HeaterNow) -> None:
        """Publish a heater's state."""
        self._state(self._topics.heater_now(now.id), to_json(now))

    def zone_now(self, now: ZoneNow) -> None:
        """Publish a zone's state."""
        self._state(self._topics.zone_now(now.id), to_json(now))

    def notices(self, notices: tuple[Notice, ...]) -> None:
        """Publish what a person should know."""
        self._state(self._topics.notices, to_json(NoticesNow(notices=notices)))

    # What the link tells.

    def connected(self) -> None:
        """Send everything again: a broker may have forgotten all of it, or kept what was taken back meanwhile."""
        for topic in self._cleared:
            self._send(topic, b"")
        for heater_id in self._standing:
            self._carry(heater_id)
        for topic, payload in self._states.items():
            self._send(topic, payload)

    def reported(self, heater_id: str, setpoint_c: float | None) -> None:
        """Compare what a heater says it holds with what it was ordered."""
        echo, standing = self._echoes.get(heater_id), self._standing.get(heater_id)
        if echo is None or standing is None or setpoint_c is None:
            return
        if abs(setpoint_c - standing.order.setpoint_c) < SAME_K:
            self._echoes.pop(heater_id, None)
            return
        waited_s = self._clock.monotonic() - echo.sent_at
        if echo.tries < len(ECHO_WAITS_S) and waited_s >= ECHO_WAITS_S[echo.tries]:
            echo.tries += 1
            echo.sent_at = self._clock.monotonic()
            self._carry(heater_id)

    def standing(self, heater_id: str) -> Wanted | None:
        """Return the order that stands for a heater."""
        found = self._standing.get(heater_id)
        return None if found is None else found.order

    # Inside.

    def _messages(self, heater: Heater, order: Wanted) -> tuple[tuple[str, bytes, bool], ...]:
        profile = self._profiles.get(heater.profile, PLAIN)
        if profile.id == PLAIN.id:
            return ((self._topics.wanted(heater.id), to_json(order), True),)
        return tuple(said(profile, heater.id, order))

    def _takes_setpoints(self, heater: Heater) -> bool:
        """Whether a heater can echo: one that is only limited or switched keeps the setpoint of its own thermostat."""
        can = self._profiles.get(heater.profile, PLAIN).can
        return "setpoint" in can and (not heater.drives or "setpoint" in heater.drives)

    def _carry(self, heater_id: str) -> None:
        order, messages = self._standing[heater_id]
        left_s = int((order.valid_until - self._clock.now()).total_seconds())
        if left_s <= 0:
            return  # it has lapsed while there was no broker; the next tick makes a new one
        for topic, payload, retain in messages:
            self._send(topic, payload, expiry_s=left_s, retain=retain)

    def _clear(self, *topics: str) -> None:
        """Empty what the broker keeps, now and on every connection."""
        for topic in topics:
            self._states.pop(topic, None)
            if topic not in self._cleared:
                self._cleared.add(topic)
                self._send(topic, b"")

    def _state(self, topic: str, payload: bytes) -> None:
        self._states[topic] = payload
        self._cleared.discard(topic)
        self._send(topic, payload)
