"""The one way in for everything that a person, a script or the clock asks of the running house.

A request is checked, kept (with its audit row, in one transaction), applied and decided on at once, and what comes of
it is handed to the publisher before it is answered. When the database cannot be written, or takes too long, heating
does not wait: the request acts from memory and its rows follow, in order, when the disk is back.

The tick does the same for time: it looks at the clock, ends what is over, decides, and hands over what changed. It
depends on nothing but the present, so a late one, or one after the clock was set by years, decides what is right now
and nothing else.
"""

from __future__ import annotations

import asyncio
import sqlite3
from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any, Final, NamedTuple

import msgspec

from ingle.clock import Clock
from ingle.commands.checks import check_cap, check_zone_request
from ingle.commands.heating_test_desk import HeatingTestDesk
from ingle.commands.holds import Holds, Subject
from ingle.commands.journal import Journal, Kept, Row, read_back
from ingle.commands.orders import Orders
from ingle.commands.outbox import Outbox
from ingle.commands.publisher import Publisher
from ingle.commands.spans import ends
from ingle.commands.timetable import Timetable
from ingle.control import rules
from ingle.control.decide import decide, explain
from ingle.control.programme import programmed
from ingle.control.situation import Situation
from ingle.design.version import design_version
from ingle.errors import Refused, Unknown, Unreachable
from ingle.live import Live
from ingle.live.kernel_clock import kernel_synchronised
from ingle.live.trust import Trust
from ingle.model.commands import Cap, Held, LimitRequest, LockLocal, Origin, Release, UnlockLocal, ZoneRequest
from ingle.model.decisions import Due, Plan
from ingle.model.heating_tests import HeatingTest
from ingle.model.house import House, Zone
from ingle.model.instants import from_ms, to_ms
from ingle.model.now import HouseNow, ZoneNow
from ingle.store import heating_tests as stored_tests
from ingle.store import holds as stored_holds
from ingle.store import houses
from ingle.store.db import Store
from ingle.store.houses import Revision

#: How long a request waits for its commit before it acts from memory [s]; half a tick.
ACT_AFTER_S: Final = 1.0


def house_etag(house: House) -> str:
    """Return the digest that guards a house against being changed by two people at once."""
    return houses.digest(house)


class Commands:
    """Requests, house files and the tick. Lives on the loop thread."""

    def __init__(
        self, store: Store, live: Live, clock: Clock, publisher: Publisher, *, trust: Trust | None = None
    ) -> None:
        self._store = store
        self._live = live
        self._clock = clock
        self._publisher = publisher
        self._trust = trust or Trust(clock, synchronised=kernel_synchronised)
        self._outbox = Outbox(store, clock)
        self._orders = Orders(publisher, clock.monotonic())
        self._holds = Holds()
        self._journal = Journal()
        self._timetable = Timetable(live.house)
        self._kept: dict[str, Due] = {}
        self._one_at_a_time = asyncio.Lock()
        #: Heating tests are planned and stopped here.
        self.heating_tests = HeatingTestDesk(
            store,
            live,
            clock,
            self._outbox,
            situation=self._situation,
            tick=self.tick,
            one_at_a_time=self._one_at_a_time,
        )

    async def start(self, house: House | None = None) -> Plan:
        """Read back what was in force, take a house (else the stored one), and decide for the first time.

        A database that cannot be read is no reason not to heat: then the house given is run by its programmes.
        """
        try:
            stored = await self._store.read(partial(_read_back, house=house, t_ms=to_ms(self._clock.now())))
        except Unreachable:
            stored = _Stored(house, [], Kept({}, frozenset()), _ids(self._live.house), None)
        for held in stored.holds:
            self._holds.resume(held)
        self._kept = stored.kept.dues
        self._live.set_locked(stored.kept.locked)
        self._take_house(stored.house or self._live.house, stored.ever)
        if stored.test is not None:
            self.heating_tests.resume(stored.test)
        return self.tick()

    # Requests.

    async def zone_request(self, zone_id: str, request: ZoneRequest, origin: Origin) -> ZoneNow:
        """Do what was asked of a zone, and return the zone as it is then.

        Raises
        ------
        Unknown
            Where the house has no such zone.
        BadInput
            Where the request cannot be done as it is, with a pointer to the field.
        Refused
            Where no heater of the zone may be driven.
        """
        async with self._one_at_a_time:
            now, zone = self._now_ms(), self._zone(zone_id)
            if isinstance(request, Release):
                await self._release(zone.id, origin)
            elif isinstance(request, LockLocal | UnlockLocal):
                await self._lock(zone.id, request, origin)
            else:
                check_zone_request(self._live.house, zone, request, self._live.situation(now))
                until = ends(request, now, self._transition(zone, now))
                await self._hold(Held(zone=zone.id, request=request, origin=origin, since=now, until=until))
            return self._zone_now(zone.id)

    async def limit_request(self, request: LimitRequest, origin: Origin) -> HouseNow:
        """Lower the supply's cap for a while, or give it back, and return the house as it is then.

        Raises
        ------
        BadInput
            Where the request cannot be done as it is.
        """
        async with self._one_at_a_time:
            now = self._now_ms()
            if isinstance(request, Cap):
                check_cap(request)
                until = ends(request, now, None)
                await self._hold(Held(zone=None, request=request, origin=origin, since=now, until=until))
            else:
                await self._release(None, origin)
            return self._live.house_now(self._clock.now())

    async def confirm_clock(self, origin: Origin) -> HouseNow:
        """Take a person's word that the wall clock is right, and return the house as it is then."""
        async with self._one_at_a_time:
            self._trust.confirm()
            row = self._row("clock-confirmed", "", {"who": origin.who, "via": origin.via})
            await self._keep(row.write, lambda: None)
            return self._live.house_now(self._clock.now())

    async def load_house(self, house: House, *, origin: Origin, why: str, expected: str | None) -> Revision:
        """Make a house the one that runs, as a new revision.

        Zones and heaters that it no longer has are closed: their history stays, their orders are taken back.

        Parameters
        ----------
        house
            The checked house.
        expected
            The digest (``house_etag``) that the current house must have, None to load over whatever runs.

        Raises
        ------
        Refused
            Where the current house is another one.
        Unreachable
            Where the database cannot be written: a house that would be forgotten at the next start does not run.
        """
        async with self._one_at_a_time:
            current = house_etag(self._live.house)
            if expected is not None and expected != current:
                raise Refused(
                    f"the house was changed meanwhile: its digest is {current}, not {expected}; load it again first"
                )
            t_ms = to_ms(self._clock.now())
            data = {"who": origin.who, "via": origin.via, "why": why, "digest": house_etag(house)}

            def write(connection: sqlite3.Connection) -> Revision:
                version = design_version(house)
                revision = houses.save(connection, house, who=origin.who, why=why, t_ms=t_ms, design_version=version)
                Row(t_ms, "house", str(revision.number), data).write(connection)
                return revision

            revision = await self._store.write(write)
            self._take_house(house, _ids(self._live.house))
            self.tick()
            return revision

    def explain(self, zone_id: str) -> tuple[rules.Voice, ...]:
        """Return what every rule that has something to say says about a zone, the winner first."""
        now = self._clock.now()
        return explain(self._live.house, self._situation(now), now, self._zone(zone_id))

    # The tick.

    def tick(self, at_once: str | None = None) -> Plan:
        """Decide for now and hand over what changed. ``at_once``: a zone whose heaters a person waits for."""
        now, monotonic = self._clock.now(), self._clock.monotonic()
        self._watch_clock(now, monotonic)
        self._expire(now)
        self._live.set_holds(self._holds)
        house, situation = self._live.house, self._situation(now)
        if self.heating_tests.watch(house, situation, now, monotonic):
            situation = msgspec.structs.replace(situation, heating_test=self.heating_tests.current)
        plan = decide(house, situation, now, self._timetable.due)
        if situation.clock_trusted:
            self._kept = {zone.id: self._timetable.due(zone, now) for zone in house.zones}
        for row in self._journal.rows(plan, self._kept, situation.locked):
            self._outbox.put(row.write)
        self._live.set_plan(plan)
        self._orders.hand(house, plan, now, monotonic, at_once)
        self._tell(now)
        self._outbox.kick()
        return plan

    async def flush(self) -> bool:
        """Write what waits for the database; return whether it is written. For a clean end."""
        return await self._outbox.flush()

    def _watch_clock(self, now: datetime, monotonic: float) -> None:
        trusted, step_s = self._live.clock_trusted, self._trust.observe()
        self._live.set_clock(self._trust.state, self._trust.vouched)
        if step_s is None:
            return
        self._live.clock_stepped(now)
        self._orders.clock_set(monotonic)
        for held in self._holds.clock_set(now, monotonic):
            self._outbox.put(partial(_save_hold, held))
        self._put("clock-stepped", "", {"seconds": round(step_s, 3)})
        self.heating_tests.clock_set(step_s, now, trusted=trusted)

    def _expire(self, now: datetime) -> None:
        for held in self._holds.expire(now):
            self._outbox.put(self._ended_write(held))
            self._put("hold-ended", _name(held.zone), {"by": "time", "who": held.origin.who})

    def _tell(self, now: datetime) -> None:
        changes = self._live.flush(now)
        for zone in changes.zones:
            self._publisher.zone_now(zone)
        for heater in changes.heaters:
            self._publisher.heater_now(heater)
        if changes.notices is not None:
            self._publisher.notices(changes.notices)

    def _situation(self, now: datetime) -> Situation:
        monotonic = self._clock.monotonic()
        situation = self._live.situation(now, given=self._orders.given(monotonic), kept=self._kept)
        waiting = self._orders.waiting(situation.heaters, monotonic)
        return msgspec.structs.replace(situation, waiting=waiting, heating_test=self.heating_tests.current)

    # How a request is kept and applied.

    async def _hold(self, held: Held) -> None:
        row = self._row("request", _name(held.zone), _told(held))

        def write(connection: sqlite3.Connection) -> None:
            stored_holds.save(connection, held)
            row.write(connection)

        await self._keep(write, lambda: self._holds.start(held, self._clock.monotonic()), held.zone)

    async def _release(self, subject: Subject, origin: Origin) -> None:
        t_ms = to_ms(self._clock.now())
        row = self._row("request", _name(subject), {"do": "release", "who": origin.who, "via": origin.via})

        def write(connection: sqlite3.Connection) -> None:
            stored_holds.end(connection, subject, t_ms)
            row.write(connection)

        await self._keep(write, lambda: self._holds.end(subject), subject)

    async def _lock(self, zone_id: str, request: LockLocal | UnlockLocal, origin: Origin) -> None:
        lock = isinstance(request, LockLocal)
        locked = self._live.locked | {zone_id} if lock else self._live.locked - {zone_id}
        do = "lock-local" if lock else "unlock-local"
        row = self._row("request", zone_id, {"do": do, "who": origin.who, "via": origin.via, "why": request.why})
        await self._keep(row.write, lambda: self._live.set_locked(locked), zone_id)

    async def _keep(
        self, write: Callable[[sqlite3.Connection], object], apply: Callable[[], object], at_once: str | None = None
    ) -> None:
        """Commit, then act; act from memory when the commit is refused or takes too long."""
        commit = asyncio.ensure_future(self._outbox.commit(write))
        await asyncio.wait({commit}, timeout=ACT_AFTER_S)
        apply()
        self.tick(at_once)
        await commit

    def _take_house(self, house: House, before: _Ids) -> None:
        """Run a house, and take back what was ordered and told of all before that it does not have."""
        after = _ids(house)
        self._live.set_house(house)
        self._timetable = Timetable(house)
        self._orders.close(before.heaters - after.heaters)
        self._publisher.closed(before.heaters - after.heaters, before.zones - after.zones)
        for held in [held for held in self._holds if held.zone is not None and held.zone not in after.zones]:
            self._holds.end(held.zone)
            self._outbox.put(self._ended_write(held))
            self._put("hold-ended", _name(held.zone), {"by": "house", "who": held.origin.who})

    def _ended_write(self, held: Held) -> Callable[[sqlite3.Connection], object]:
        """Return the write that ends a hold for good: a clock set back must not bring it back to life."""
        last_ms = min(to_ms(self._clock.now()), to_ms(held.until) - 1)
        return lambda connection: stored_holds.end(connection, held.zone, last_ms)

    def _zone(self, zone_id: str) -> Zone:
        zone = self._live.house.zone(zone_id)
        if zone is None:
            raise Unknown(f"zone {zone_id!r} is not in this house")
        return zone

    def _zone_now(self, zone_id: str) -> ZoneNow:
        zone = self._live.zone_now(zone_id, self._clock.now())
        if zone is None:
            raise Unknown(f"zone {zone_id!r} is no longer in this house")
        return zone

    def _transition(self, zone: Zone, now: datetime) -> datetime | None:
        if self._trust.vouched == "untrusted" or not programmed(self._live.house, zone):
            return None
        return self._timetable.due(zone, now).until

    def _now_ms(self) -> datetime:
        """Return the wall time as the store keeps it, so that what is answered now is what a restart finds."""
        return from_ms(to_ms(self._clock.now()))

    def _row(self, kind: str, subject: str, data: dict[str, Any]) -> Row:
        return Row(to_ms(self._clock.now()), kind, subject, data)

    def _put(self, kind: str, subject: str, data: dict[str, Any]) -> None:
        self._outbox.put(self._row(kind, subject, data).write)


class _Ids(NamedTuple):
    """Heaters and zones of a house."""

    heaters: frozenset[str]
    zones: frozenset[str]


def _ids(house: House) -> _Ids:
    return _Ids(frozenset(h.id for zone in house.zones for h in zone.heaters), frozenset(z.id for z in house.zones))


class _Stored(NamedTuple):
    """What a start finds in the database; ``ever`` is all that any house of it had."""

    house: House | None
    holds: list[Held]
    kept: Kept
    ever: _Ids
    test: HeatingTest | None


def _read_back(connection: sqlite3.Connection, *, house: House | None, t_ms: int) -> _Stored:
    """Return the house to run (the one given, else the newest revision) and what was in force; on a reader's thread."""
    if house is None:
        revision = houses.current(connection)
        house = None if revision is None else revision.house
    zones = frozenset() if house is None else _ids(house).zones
    named = [(one.kind, one.id) for one in houses.lifetimes(connection)]
    ever = _Ids(*(frozenset(name for kind, name in named if kind == wanted) for wanted in ("heater", "zone")))
    in_force = stored_holds.active(connection, t_ms)
    return _Stored(house, in_force, read_back(connection, zones), ever, stored_tests.running(connection))


def _save_hold(held: Held, connection: sqlite3.Connection) -> object:
    return stored_holds.save(connection, held)


def _name(subject: Subject) -> str:
    """Return what an event calls the thing a request is on."""
    return "supply" if subject is None else subject


def _told(held: Held) -> dict[str, Any]:
    request = msgspec.to_builtins(held.request)
    return {**request, "who": held.origin.who, "via": held.origin.via, "ends": held.until}
