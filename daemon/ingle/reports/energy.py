"""Where the energy went: per heater, per zone and in all, over a span or since local midnight.

Rules of this file: a sum is as good as its worst part; a heater of which nothing is known adds nothing and is named in
``missing``, because no data is not 0 Wh; a heater that moved counts, for each stretch, to the zone it then stood in.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Annotated, Final, NamedTuple
from zoneinfo import ZoneInfo

from msgspec import Meta, field, structs

from ingle.errors import BadInput, Fault, Unknown
from ingle.model.base import Result
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.readings import Quality, Source
from ingle.store import houses
from ingle.store.houses import Lifetime
from ingle.store.rollups import energy as stored_energy

#: From the best to the worst: a sum takes the worst of its parts.
QUALITIES: Final[tuple[Quality, ...]] = ("metered", "estimated", "filled", "stale")

Instant = Annotated[datetime, Meta(tz=True)]


class HeaterEnergy(Result, frozen=True, kw_only=True):
    """What a heater used while it stood in a zone [Wh]; null where nothing is known."""

    heater: str
    zone: str
    energy_wh: float | None
    quality: Quality | None


class ZoneEnergy(Result, frozen=True, kw_only=True):
    """What a zone's heaters used [Wh]."""

    zone: str
    name: str
    energy_wh: float | None
    quality: Quality | None


class Energy(Result, frozen=True, kw_only=True):
    """Energy over a span, up to but not including its end."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    heaters: tuple[HeaterEnergy, ...]
    zones: tuple[ZoneEnergy, ...]
    total_wh: float | None
    quality: Quality | None
    missing: tuple[str, ...]


def energy(conn: sqlite3.Connection, house: House, start: datetime, end: datetime) -> Energy:
    """Return the energy of every heater that stood in the house within a span.

    Parameters
    ----------
    conn
        A connection to read with.
    house
        The present house.
    start, end
        Aware instants.

    Raises
    ------
    BadInput
        Where the span does not end after its start.
    """
    if not start < end:
        raise BadInput([Fault(("to",), end.isoformat(), f"an instant after from ({start.isoformat()})")])
    heaters = _heaters(conn, stays(house, houses.lifetimes(conn), to_ms(start), to_ms(end)))
    total_wh, quality = _sum(heaters)
    return Energy(
        start=start,
        end=end,
        heaters=heaters,
        zones=_zones(house, heaters),
        total_wh=plain(total_wh),
        quality=quality,
        missing=tuple(sorted({each.heater for each in heaters if each.energy_wh is None})),
    )


def today(conn: sqlite3.Connection, house: House, now: datetime) -> Energy:
    """Return the energy since midnight on the house's own clock; of the moment of midnight itself, of a millisecond."""
    midnight = midnight_before(now, house.site.timezone)
    return energy(conn, house, midnight, max(now, datetime.fromtimestamp(midnight.timestamp() + 0.001, UTC)))


def of_zones(found: Energy, zones: Sequence[str]) -> Energy:
    """Return an answer with only some zones in it; with all where none is named.

    Raises
    ------
    Unknown
        Where it has no such zone.
    """
    if not zones:
        return found
    for zone in zones:
        if zone not in {each.zone for each in found.zones}:
            known = ", ".join(each.zone for each in found.zones)
            raise Unknown(f"zone {zone!r} is not in this house; it has: {known}")
    heaters = tuple(each for each in found.heaters if each.zone in zones)
    total_wh, quality = _sum(heaters)
    return structs.replace(
        found,
        heaters=heaters,
        zones=tuple(each for each in found.zones if each.zone in zones),
        total_wh=plain(total_wh),
        quality=quality,
        missing=tuple(each for each in found.missing if each in {heater.heater for heater in heaters}),
    )


def midnight_before(now: datetime, timezone: str) -> datetime:
    """Return the last local midnight as an instant in UTC.

    >>> midnight_before(datetime(2026, 7, 1, 12, tzinfo=UTC), "Europe/London").isoformat()
    '2026-06-30T23:00:00+00:00'
    """
    local = now.astimezone(ZoneInfo(timezone))
    return local.replace(hour=0, minute=0, second=0, microsecond=0, fold=0).astimezone(UTC)


def worst(qualities: Iterable[Quality | None]) -> Quality | None:
    """Return the worst quality; None where there is none.

    >>> worst(["metered", None, "filled"])
    'filled'
    """
    return max((each for each in qualities if each is not None), key=QUALITIES.index, default=None)


def plain(value: float | None) -> float | None:
    """Return a figure to three decimals, as far as any counter tells: a sum of floats ends in digits that mean nothing.

    >>> plain(0.1 + 0.2), plain(None)
    (0.3, None)
    """
    return None if value is None else round(value, 3)


class Stay(NamedTuple):
    """From when to when a heater stood in a zone, within a span [ms]."""

    heater: str
    zone: str
    start_ms: int
    end_ms: int


def stays(house: House, lifetimes: Iterable[Lifetime], start_ms: int, end_ms: int) -> list[Stay]:
    """Return who stood where within a span, in the house's order, those that have gone last.

    A heater's first stay reaches back without end: readings from before the house was first loaded can be imported.
    """
    stays: list[Stay] = []
    known: set[str] = set()
    for life in lifetimes:
        if life.kind != "heater":
            continue
        first = start_ms if life.id not in known else max(start_ms, life.start_ms)
        last = end_ms if life.finish_ms is None else min(end_ms, life.finish_ms)
        known.add(life.id)
        if first < last:
            stays.append(Stay(life.id, life.zone, first, last))
    places = [(heater.id, zone.id) for zone in house.zones for heater in zone.heaters]
    stays += [Stay(heater, zone, start_ms, end_ms) for heater, zone in places if heater not in known]
    order = {place: rank for rank, place in enumerate(places)}
    return sorted(stays, key=lambda stay: (order.get((stay.heater, stay.zone), len(order)), stay.start_ms))


def _heaters(conn: sqlite3.Connection, stays: Iterable[Stay]) -> tuple[HeaterEnergy, ...]:
    """Return one line for each heater and zone, also where it went and came back."""
    lines: dict[tuple[str, str], list[HeaterEnergy]] = {}
    for stay in stays:
        lines.setdefault((stay.heater, stay.zone), []).append(_stayed(conn, stay))
    sums = {place: _sum(parts) for place, parts in lines.items()}
    return tuple(
        HeaterEnergy(heater=heater, zone=zone, energy_wh=plain(energy_wh), quality=quality)
        for (heater, zone), (energy_wh, quality) in sums.items()
    )


def _stayed(conn: sqlite3.Connection, stay: Stay) -> HeaterEnergy:
    source = Source("heater", stay.heater)
    found = stored_energy(conn, [source], stay.start_ms, stay.end_ms)[source]
    return HeaterEnergy(heater=stay.heater, zone=stay.zone, energy_wh=found.energy_wh, quality=found.quality)


def _zones(house: House, heaters: Iterable[HeaterEnergy]) -> tuple[ZoneEnergy, ...]:
    names = {zone.id: zone.name for zone in house.zones}
    used: dict[str, list[HeaterEnergy]] = {zone: [] for zone in names}
    for each in heaters:
        used.setdefault(each.zone, []).append(each)
    sums = {zone: _sum(parts) for zone, parts in used.items()}
    return tuple(
        ZoneEnergy(zone=zone, name=names.get(zone, zone), energy_wh=plain(energy_wh), quality=quality)
        for zone, (energy_wh, quality) in sums.items()
    )


def _sum(parts: Iterable[HeaterEnergy]) -> tuple[float | None, Quality | None]:
    known = [(each.energy_wh, each.quality) for each in parts if each.energy_wh is not None]
    if not known:
        return None, None
    return sum(energy_wh for energy_wh, _ in known), worst(quality for _, quality in known)
