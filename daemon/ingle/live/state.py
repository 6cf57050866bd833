"""The state of now, in memory, on the loop thread only: what heating goes on from when the disk fails.

Readings, links, the house, holds and the plan come in; a situation to decide on, and the objects of now that every
face shows, go out. Nothing here waits, stores or publishes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Final, Literal, NamedTuple

import msgspec

from ingle.clock import Clock
from ingle.control.decide import decide
from ingle.control.situation import Given, Situation
from ingle.live import faces
from ingle.live.feed import Board, Feed
from ingle.live.links import LinkKind
from ingle.live.senses import Drive, Senses
from ingle.live.trust import ClockState
from ingle.live.witnesses import witnesses
from ingle.model.commands import Held
from ingle.model.decisions import Due, Notice, Plan
from ingle.model.explanation import Witness
from ingle.model.house import House, Site
from ingle.model.instants import to_ms
from ingle.model.now import HeaterNow, HouseNow, ZoneNow
from ingle.model.readings import Quality, Reading

#: What is served before a house is loaded: no zone, no heater, nothing to decide.
NO_HOUSE: Final = House(site=Site(name="No house yet", outdoor_design_c=0.0))


class Today(NamedTuple):
    """Energy and money since local midnight, as the jobs last computed them."""

    energy_wh: float | None = None
    money: float | None = None
    currency: str | None = None
    quality: Quality | None = None


class Changes(NamedTuple):
    """What is different since the last look."""

    zones: tuple[ZoneNow, ...]
    heaters: tuple[HeaterNow, ...]
    notices: tuple[Notice, ...] | None


class Live:
    """Everything that is true now. One instance, one thread."""

    def __init__(self, clock: Clock, house: House | None = None) -> None:
        self._clock = clock
        self.house = house or NO_HOUSE
        self._senses = Senses(clock, self.house)
        self._board = Board(to_ms(clock.now()))
        self._holds: tuple[Held, ...] = ()
        self._locked: frozenset[str] = frozenset()
        self._clock_state: ClockState = "untrusted"
        self._clock_vouched: ClockState = "untrusted"
        self._broker: Literal["up", "down"] = "down"
        self._history: Literal["kept", "paused"] = "kept"
        self._today = Today()
        self._plan: Plan | None = None
        self._posted: dict[str, Notice] = {}
        self._last_house: HouseNow | None = None

    # What comes in.

    def set_house(self, house: House) -> None:
        """Take a house in place of the one before; the plan of the old one is void."""
        self.house = house
        self._senses.set_house(house)
        self._plan = None
        zones = frozenset(zone.id for zone in house.zones)
        self._holds = tuple(held for held in self._holds if held.zone is None or held.zone in zones)
        self._locked &= zones
        self._board.forget("zone", zones)
        self._board.forget("heater", frozenset(heater.id for zone in house.zones for heater in zone.heaters))

    def set_profiles(self, profiles: Mapping[str, Drive]) -> None:
        """Take what each firmware profile can do; an unknown one is taken for the built-in one."""
        self._senses.set_profiles(profiles)

    def seed(self, newest: Iterable[Reading]) -> None:
        """Take the newest stored readings: shown as stale, never acted on."""
        self._senses.seed(newest)

    def update(self, reading: Reading) -> bool:
        """Merge a reading; return whether anything of it is now the newest live value of its source."""
        return self._senses.update(reading)

    def link(self, kind: LinkKind, link_id: str, *, up: bool) -> None:
        """Note that a heater or gateway said that its link is up or down."""
        self._senses.link(kind, link_id, up=up)

    def set_broker(self, *, up: bool) -> None:
        """Note whether the broker is connected."""
        self._broker = "up" if up else "down"

    def set_history(self, *, kept: bool) -> None:
        """Note whether readings reach the database."""
        self._history = "kept" if kept else "paused"

    def set_today(self, today: Today) -> None:
        """Note the energy and money since local midnight."""
        self._today = today

    def set_clock(self, state: ClockState, vouched: ClockState) -> None:
        """Note how far the wall clock may be trusted, and who vouches for it."""
        self._clock_state, self._clock_vouched = state, vouched
        self._senses.clock_vouched = vouched != "untrusted"

    def clock_stepped(self, now: datetime) -> None:
        """Know that the wall clock was set: readings timed before that of an old one are new all the same."""
        self._senses.clock_stepped(to_ms(now))

    def set_holds(self, holds: Iterable[Held]) -> None:
        """Take the requests in force."""
        self._holds = tuple(holds)

    def set_locked(self, zones: Iterable[str]) -> None:
        """Take the zones whose heaters refuse their own buttons."""
        self._locked = frozenset(zones)

    def set_plan(self, plan: Plan) -> None:
        """Take what the tick decided."""
        self._plan = plan

    def post_notice(self, notice: Notice) -> None:
        """Add a notice from elsewhere (a link, the store); the same key replaces, the first ``since`` stays."""
        standing = self._posted.get(notice.key)
        since = notice.since if standing is None else standing.since
        self._posted[notice.key] = msgspec.structs.replace(notice, since=since)

    def clear_notice(self, key: str) -> None:
        """Take back a notice from elsewhere."""
        self._posted.pop(key, None)

    # What goes out.

    @property
    def holds(self) -> tuple[Held, ...]:
        """The requests in force."""
        return self._holds

    @property
    def locked(self) -> frozenset[str]:
        """The zones whose heaters refuse their own buttons."""
        return self._locked

    @property
    def clock_trusted(self) -> bool:
        """Whether anybody vouches for the wall clock, so that a time ahead of it is wrong."""
        return self._clock_vouched != "untrusted"

    def unbound(self) -> tuple[str, ...]:
        """Return the ids of heaters that report and that no zone has."""
        return self._senses.unbound()

    def situation(
        self,
        now: datetime,
        *,
        given: Mapping[str, Given] | None = None,
        kept: Mapping[str, Due] | None = None,
        waiting: frozenset[str] = frozenset(),
    ) -> Situation:
        """Return what decisions rest on now; the keyword arguments are what only ``commands`` knows."""
        heaters = {h.id: self._senses.heater_seen(h, now) for zone in self.house.zones for h in zone.heaters}
        plan = self._plan
        return Situation(
            zones={zone.id: self._senses.zone_seen(zone) for zone in self.house.zones},
            heaters=heaters,
            supply_v=self._senses.supply_v(heaters),
            supply_w=self._senses.supply_w(),
            holds=self._holds,
            locked=self._locked,
            clock_trusted=self.clock_trusted,
            clock_assumed=self._clock_vouched == "assumed",
            kept=kept or {},
            given=given or {},
            waiting=waiting,
            ruling={} if plan is None else {decision.id: decision.rule for decision in plan.zones},
            standing={} if plan is None else {notice.key: notice.since for notice in plan.notices},
        )

    def plan(self, now: datetime) -> Plan:
        """Return the plan in force; before the first tick, what a tick would decide."""
        return self._plan or decide(self.house, self.situation(now), now)

    def zones_now(self, now: datetime) -> list[ZoneNow]:
        """Return every zone as it is now."""
        return self._zones_now(now, self.situation(now))

    def _zones_now(self, now: datetime, situation: Situation) -> list[ZoneNow]:
        plan = self._plan or decide(self.house, situation, now)
        return faces.zones_now(self.house, plan, self._senses, situation)

    def zone_now(self, zone_id: str, now: datetime) -> ZoneNow | None:
        """Return one zone as it is now, None when the house has no such zone."""
        return next((zone for zone in self.zones_now(now) if zone.id == zone_id), None)

    def witnesses(self, zone_id: str, now: datetime) -> tuple[Witness, ...]:
        """Return what was read of a zone and outdoors, with its age; nothing of a zone that the house has not."""
        zone = self.house.zone(zone_id)
        return () if zone is None else witnesses(self.house, zone, self._senses, now)

    def heaters_now(self, now: datetime) -> list[HeaterNow]:
        """Return every heater of every zone as it is now."""
        return [heater for zone in self.zones_now(now) for heater in zone.heaters]

    def notices(self, now: datetime) -> tuple[Notice, ...]:
        """Return what a person should know now, the urgent first."""
        standing = (*self.plan(now).notices, *self._posted.values())
        return tuple(sorted(standing, key=lambda notice: notice.severity != "urgent"))

    def house_now(self, now: datetime) -> HouseNow:
        """Return the house at a glance."""
        situation = self.situation(now)
        return self._house_now(now, self._zones_now(now, situation), situation)

    def subscribe(self, after: int | None = None) -> Feed:
        """Follow changes: first the newest state of everything (or of what changed after an id), then each change."""
        return self._board.subscribe(after)

    def close(self) -> None:
        """End every feed."""
        self._board.close()

    def flush(self, now: datetime) -> Changes:
        """Compare with what was told last, tell the feeds what is different, and return it. Once a tick."""
        self._senses.observe_trends()
        situation = self.situation(now)
        zones = self._zones_now(now, situation)
        changed = tuple(zone for zone in zones if self._board.post("zone", zone.id, zone))
        heaters = tuple(h for zone in zones for h in zone.heaters if self._board.post("heater", h.id, h))
        notices = self.notices(now)
        told = self._board.post("notices", "", notices)
        house = self._house_now(now, zones, situation)
        if self._last_house is None or msgspec.structs.replace(house, t=self._last_house.t) != self._last_house:
            self._last_house = house
            self._board.post("house", "", house)
        return Changes(changed, heaters, notices if told else None)

    def _house_now(self, now: datetime, zones: list[ZoneNow], situation: Situation) -> HouseNow:
        site, outdoor = self.house.site, self._senses.outdoor()
        cap_a = self.plan(now).supply_cap_a
        volts = situation.supply_v or site.voltage_v
        return HouseNow(
            name=site.name,
            timezone=site.timezone,
            t=now,
            power_w=faces.total_w(heater.power_w for zone in zones for heater in zone.heaters),
            cap_w=None if cap_a is None else cap_a * volts * site.phases,
            plate_w=sum(zone.plate_w for zone in zones),
            energy_today_wh=self._today.energy_wh,
            energy_quality=self._today.quality,
            money_today=self._today.money,
            currency=self._today.currency,
            outdoor_c=outdoor.value,
            outdoor_t=outdoor.t,
            clock=self._clock_state,
            broker=self._broker,
            history=self._history,
            notices=self.notices(now),
        )
