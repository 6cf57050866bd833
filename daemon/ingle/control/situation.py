"""What deciding needs to know beside the house: plain values, all of them measured or kept elsewhere.

``None`` means not known now. It never means cold, and it never means 0 W. Ages are seconds of monotonic time, so that
a wall clock that is set makes nothing older or younger.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from ingle.model.base import Result
from ingle.model.commands import Held
from ingle.model.decisions import Due, Instant, Rule
from ingle.model.heating_tests import HeatingTest


class HeaterSeen(Result, frozen=True, kw_only=True):
    """One heater as its live readings and links tell.

    ``heard`` is whether it has spoken at all since the start, ``away`` why it cannot be reached (empty: it can), and
    ``cut_off`` that it is known to hear nothing, because it or its gateway said goodbye. ``behind_s`` is how long after
    its own time its newest reading arrived [s]. ``drives`` are the ways its firmware can be driven, ``expires`` whether
    an order ends by itself in the device.
    """

    heard: bool = True
    away: str = ""
    cut_off: bool = False
    power_w: float | None = None
    voltage_v: float | None = None
    setpoint_c: float | None = None
    fault: str | None = None
    behind_s: float = 0.0
    drives: tuple[str, ...] = ("setpoint", "limit")
    expires: bool = True


class ZoneSeen(Result, frozen=True, kw_only=True):
    """One zone: the median of its live sensors, whether it cools, what stands open, whether a sensor was lost."""

    temp_c: float | None = None
    falling: bool = False
    open: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()


class Given(Result, frozen=True, kw_only=True):
    """The last order to a heater: what it may draw, and for how long that has been between 0 and more [s]."""

    setpoint_c: float
    limit_w: float
    since_s: float
    unchanged_s: float


class Situation(Result, frozen=True, kw_only=True):
    """Everything about now that decisions rest on."""

    zones: Mapping[str, ZoneSeen] = {}
    heaters: Mapping[str, HeaterSeen] = {}
    supply_v: float | None = None
    supply_w: float | None = None
    holds: tuple[Held, ...] = ()
    locked: frozenset[str] = frozenset()
    #: False while nobody vouches for the wall clock: then ``kept`` rules in place of the programmes.
    clock_trusted: bool = True
    clock_assumed: bool = False
    kept: Mapping[str, Due] = {}
    #: The heating test that is planned or runs.
    heating_test: HeatingTest | None = None
    given: Mapping[str, Given] = {}
    #: Heaters that came back and wait for their turn to start.
    waiting: frozenset[str] = frozenset()
    #: The rule that ruled each zone so far, and since when each notice stands.
    ruling: Mapping[str, Rule] = {}
    standing: Mapping[str, Instant] = {}

    def zone(self, zone_id: str) -> ZoneSeen:
        """Return what is seen of a zone; nothing is seen of one that never reported."""
        return self.zones.get(zone_id, ZoneSeen())

    def heater(self, heater_id: str) -> HeaterSeen:
        """Return what is seen of a heater; nothing is seen of one that never reported."""
        return self.heaters.get(heater_id, HeaterSeen())

    def hold(self, zone_id: str | None, now: datetime) -> Held | None:
        """Return the newest request in force for a zone (None: for the supply)."""
        current = [held for held in self.holds if held.zone == zone_id and held.until > now]
        return max(current, key=lambda held: held.since, default=None)
