"""What was: readings, energy and verdicts of a span."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import islice
from typing import Annotated, Any, Final, NamedTuple

import msgspec
from msgspec import Meta, field

from ingle.commands.service import house_etag
from ingle.errors import Fault, Unknown
from ingle.http.bodies import instant
from ingle.http.problems import BadQuery, Refusal
from ingle.http.route import Call, Reply, Route
from ingle.model.base import Result
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import MEASURED, OUTDOOR, EnergyIs, Reading, Source, SourceKind
from ingle.model.verdicts import Assessment
from ingle.reports import energy as energy_report
from ingle.store import houses
from ingle.store.readings import select

Instant = Annotated[datetime, Meta(tz=True)]
When = Annotated[
    str, Meta(max_length=40, description="an ISO 8601 instant with its offset, or a date for the whole local day")
]

#: What is shown where no start is named.
SPAN: Final = timedelta(days=1)
OUTDOORS: Final = "outdoor"


class Span(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """From when, and up to when."""

    start: When | None = field(name="from", default=None)
    end: When | None = field(name="to", default=None)


class Window(Span, frozen=True, kw_only=True):
    """Which readings, and how many at once."""

    zone: Annotated[str, Meta(max_length=32, description='a zone, or "outdoor"')] | None = None
    heater: Annotated[str, Meta(max_length=32)] | None = None
    limit: Annotated[int, Meta(ge=1, le=5000)] = 1000
    next: Annotated[str, Meta(max_length=120, description="``next`` of the page before")] | None = None


class ReadingShown(Result, frozen=True, kw_only=True):
    """One report of one source. ``zone`` is where the source stands now; ``energy_wh`` is its counter."""

    kind: SourceKind
    id: str
    zone: str | None
    t: Instant
    power_w: float | None
    energy_wh: float | None
    energy_is: EnergyIs | None
    voltage_v: float | None
    temp_c: float | None
    setpoint_c: float | None
    humidity_percent: float | None
    irradiance_w_per_m2: float | None
    wind_m_per_s: float | None
    opening: bool | None
    fault: str | None
    boot: str | None
    seq: int | None
    future: bool


class Readings(Result, frozen=True, kw_only=True):
    """Readings source by source, each in time order; ``next`` asks for more, null when there are none."""

    start: Instant = field(name="from")
    end: Instant = field(name="to")
    readings: tuple[ReadingShown, ...]
    next: str | None


class _Cursor(NamedTuple):
    """Where a page ended: how many readings of a source at one instant have been given."""

    source: Source
    t_ms: int
    given: int

    def text(self) -> str:
        return f"{self.source.kind}:{self.source.id}:{self.t_ms}:{self.given}"


async def readings(call: Call) -> Reply:
    """Return one page of readings."""
    start, end = _span(call)
    if call.scope is not None and call.query.zone not in call.scope:
        raise Refusal(403, "name one of your own zones: zone=" + ", ".join(sorted(call.scope)))
    cursor = None if call.query.next is None else _cursor(call.query.next)
    house = call.parts.live.house
    asked: Window = call.query

    def page(conn: sqlite3.Connection) -> list[Reading]:
        sources = _sources(conn, house, asked.zone, asked.heater)
        found = _from(conn, sources, cursor, to_ms(start), to_ms(end))
        return list(islice(found, asked.limit + 1))

    found = await call.parts.store.read(page)
    shown, more = found[: asked.limit], len(found) > asked.limit
    places = dict(_places(house))
    return Reply(
        value=Readings(
            start=start,
            end=end,
            readings=tuple(_shown(each, places.get(each.source)) for each in shown),
            next=_after(shown, cursor).text() if more else None,
        )
    )


async def energy(call: Call) -> Reply:
    """Return the energy of a span; since local midnight where none is named."""
    now, house, query = call.parts.clock.now(), call.parts.live.house, call.query
    if query.start is None and query.end is None:
        return Reply(value=await call.parts.store.read(lambda conn: energy_report.today(conn, house, now)))
    start, end = _span(call)
    return Reply(value=await call.parts.store.read(lambda conn: energy_report.energy(conn, house, start, end)))


async def verdicts(call: Call) -> Reply:
    """Return the verdicts, worked out lately."""
    return await _verdicts(call, anew=False)


async def refresh_verdicts(call: Call) -> Reply:
    """Work the verdicts out anew."""
    return await _verdicts(call, anew=True)


async def _verdicts(call: Call, *, anew: bool) -> Reply:
    house = call.parts.live.house
    start, end = (
        None if text is None else instant(text, name, house.site.timezone).isoformat()
        for name, text in (("from", call.query.start), ("to", call.query.end))
    )
    found = await call.parts.verdicts.assess(house_etag(house), start, end, anew=anew)
    return Reply(value=found.assessment, headers={"Age": str(round(found.age_s))})


def _span(call: Call) -> tuple[datetime, datetime]:
    timezone = call.parts.live.house.site.timezone
    query: Span = call.query
    end = call.parts.clock.now() if query.end is None else instant(query.end, "to", timezone)
    start = end - SPAN if query.start is None else instant(query.start, "from", timezone)
    if not start < end:
        raise BadQuery([Fault(("to",), query.end or end.isoformat(), f"after from ({start.isoformat()})")])
    return start, end


def _places(house: House) -> Iterator[tuple[Source, str]]:
    """Yield every source of the house with the zone that it is in."""
    for zone in house.zones:
        yield from ((Source("heater", heater.id), zone.id) for heater in zone.heaters)
    yield from ((Source("sensor", sensor.id), sensor.zone) for sensor in house.sensors)
    yield OUTDOOR, OUTDOORS


def _sources(conn: sqlite3.Connection, house: House, zone: str | None, heater: str | None) -> list[Source]:
    """Return whose readings are asked for, in the store's order."""
    places = list(_places(house))
    if heater is not None:
        source = Source("heater", heater)
        if source not in {known for known, _ in [*places, *_former(conn)]}:
            raise Unknown(f"heater {heater!r} is not in this house, nor was it ever")
        if zone is not None and (source, zone) not in places:
            raise BadQuery([Fault(("heater",), heater, f"a heater that is in zone {zone}")])
        return [source]
    if zone is not None:
        if zone != OUTDOORS and house.zone(zone) is None:
            raise Unknown(f"zone {zone!r} is not in this house")
        return sorted(source for source, place in places if place == zone)
    meters = [Source("meter", meter.id) for meter in house.meters]
    return sorted({*(source for source, _ in [*places, *_former(conn)]), *meters})


def _former(conn: sqlite3.Connection) -> list[tuple[Source, str]]:
    return [(Source("heater", life.id), life.zone) for life in houses.lifetimes(conn) if life.kind == "heater"]


def _from(
    conn: sqlite3.Connection, sources: list[Source], cursor: _Cursor | None, start_ms: int, end_ms: int
) -> Iterator[Reading]:
    """Yield readings, going on where a page ended."""
    for source in sources:
        if cursor is None or source > cursor.source:
            yield from select(conn, sources=[source], start_ms=start_ms, end_ms=end_ms)
        elif source == cursor.source:
            rest = select(conn, sources=[source], start_ms=max(start_ms, cursor.t_ms), end_ms=end_ms)
            yield from islice(rest, cursor.given, None)


def _after(shown: list[Reading], before: _Cursor | None) -> _Cursor:
    last = shown[-1]
    given = sum(1 for each in shown if each.source == last.source and each.t_ms == last.t_ms)
    if before is not None and (before.source, before.t_ms) == (last.source, last.t_ms):
        given += before.given
    return _Cursor(last.source, last.t_ms, given)


_KINDS: Final[dict[str, SourceKind]] = {kind: kind for kind in ("heater", "sensor", "outdoor", "meter")}


def _cursor(text: str) -> _Cursor:
    try:
        kind, name, t_ms, given = text.split(":")
        return _Cursor(Source(_KINDS[kind], name), int(t_ms), abs(int(given)))
    except (ValueError, KeyError):
        raise BadQuery([Fault(("next",), text, "next of the page before, as it was given")]) from None


def _shown(reading: Reading, zone: str | None) -> ReadingShown:
    values: dict[str, Any] = {name: getattr(reading, name) for name in MEASURED}
    return ReadingShown(
        kind=reading.source.kind,
        id=reading.source.id,
        zone=zone,
        t=from_ms(reading.t_ms),
        energy_is=reading.energy_is,
        opening=reading.opening,
        fault=reading.fault,
        boot=reading.boot,
        seq=reading.seq,
        future=reading.future,
        **values,
    )


ROUTES = (
    Route(
        method="GET",
        path="/api/readings",
        act="look-zone",
        summary="What was reported, source by source; the last day where no span is named",
        handler=readings,
        answers=Readings,
        query=Window,
        errors=(404, 503),
    ),
    Route(
        method="GET",
        path="/api/energy",
        summary="Energy of each heater and zone; since local midnight where no span is named",
        handler=energy,
        answers=energy_report.Energy,
        query=Span,
        errors=(503,),
    ),
    Route(
        method="GET",
        path="/api/verdicts",
        summary="Metered use against design, room by room; worked out at most a quarter of an hour ago (Age)",
        handler=verdicts,
        answers=Assessment,
        query=Span,
        errors=(503,),
    ),
    Route(
        method="POST",
        path="/api/verdicts/refresh",
        act="work-out",
        summary="Work the verdicts out anew",
        handler=refresh_verdicts,
        answers=Assessment,
        query=Span,
        errors=(503,),
    ),
)
