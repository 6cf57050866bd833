"""Readings as lines of CSV, in the import's columns: what was exported can be imported, and nothing is lost.

Lines are in order of time, and where times are equal in an order that does not depend on the database they come from,
so that two databases with the same readings give the same bytes.
"""

from __future__ import annotations

import csv
import heapq
import io
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, groupby
from operator import attrgetter
from typing import Final

from ingle.intake.table import COLUMNS, NO_FAULT, OPTIONAL, thermometers
from ingle.model.instants import from_ms
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store import houses
from ingle.store.extent import extent
from ingle.store.houses import Revision
from ingle.store.readings import select, sources

#: Rows read at a time of each source, all of which are open at once.
_CHUNK: Final = 500
_ORDER: Final = ("outdoor", "heater", "sensor", "meter")


@dataclass(frozen=True, slots=True)
class Export:
    """What will be written: whose readings, of which span, in which columns, and how many lines.

    ``zones`` says where each stands; those in ``alone`` are told by their zone alone.
    """

    sources: tuple[Source, ...]
    zones: Mapping[Source, str]
    alone: frozenset[Source]
    start_ms: int | None
    end_ms: int | None
    columns: tuple[str, ...]
    rows: int


def plan(
    conn: sqlite3.Connection,
    *,
    zones: Sequence[str] = (),
    start_ms: int | None = None,
    end_ms: int | None = None,
) -> Export:
    """Look at what there is to write.

    Parameters
    ----------
    zones
        Only what stands in these; none for all.
    """
    revision = houses.current(conn)
    stands_in = _zones(conn, revision)
    alone = frozenset([OUTDOOR, *(_thermometers(revision, stands_in))])
    chosen = [each for each in sources(conn) if not zones or stands_in.get(each) in zones]
    chosen.sort(key=lambda source: (_ORDER.index(source.kind), source.id))
    there = extent(conn, chosen, start_ms, end_ms)
    # Columns that only stand where there is something to write in them.
    rare = {
        "sensor": any(each.kind == "sensor" and each not in alone for each in chosen),
        "meter": any(each.kind == "meter" for each in chosen),
        "fault": there.with_fault,
        "future": there.with_future,
    }
    columns = tuple(name for name in (*COLUMNS, *OPTIONAL) if rare.get(name, True))
    return Export(tuple(chosen), stands_in, alone, start_ms, end_ms, columns, there.rows)


def lines(conn: sqlite3.Connection, export: Export) -> Iterator[str]:
    """Yield the header and a line for each reading, each with its end."""
    yield ",".join(export.columns) + "\n"
    buffer = io.StringIO()
    write = csv.writer(buffer, lineterminator="\n").writerow
    for reading in _in_order(conn, export):
        values = _values(reading, export.zones.get(reading.source, ""), alone=reading.source in export.alone)
        write([values.get(name) or "" for name in export.columns])
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()


def _in_order(conn: sqlite3.Connection, export: Export) -> Iterator[Reading]:
    each = [
        select(conn, sources=[source], start_ms=export.start_ms, end_ms=export.end_ms, chunk=_CHUNK)
        for source in export.sources
    ]
    merged = heapq.merge(*(_settled(readings) for readings in each), key=attrgetter("t_ms"))
    return iter(merged)


def _settled(readings: Iterator[Reading]) -> Iterator[Reading]:
    """Put readings of one instant in an order of their own: boots are numbered anew in every database."""
    together = (sorted(same, key=_number) for _, same in groupby(readings, key=attrgetter("t_ms")))
    return chain.from_iterable(together)


def _number(reading: Reading) -> tuple[str, int]:
    return reading.boot or "", -1 if reading.seq is None else reading.seq


def _values(reading: Reading, zone: str, *, alone: bool) -> dict[str, str]:
    source = reading.source
    return {
        **({} if alone else {source.kind: source.id}),
        "time": time_text(reading.t_ms),
        "zone": zone,
        "power_w": _number_text(reading.power_w),
        "energy_wh": _number_text(reading.energy_wh),
        "temp_c": _number_text(reading.temp_c),
        "setpoint_c": _number_text(reading.setpoint_c),
        "irradiance_w_per_m2": _number_text(reading.irradiance_w_per_m2),
        "wind_m_per_s": _number_text(reading.wind_m_per_s),
        "voltage_v": _number_text(reading.voltage_v),
        "humidity_percent": _number_text(reading.humidity_percent),
        "energy_is": reading.energy_is or "",
        "opening": "" if reading.opening is None else str(reading.opening).lower(),
        "boot": reading.boot or "",
        "seq": "" if reading.seq is None else str(reading.seq),
        "fault": NO_FAULT if reading.fault == "" else reading.fault or "",
        "future": "true" if reading.future else "",
    }


def time_text(t_ms: int) -> str:
    """Return an instant as it is written, with milliseconds only where there are any.

    >>> time_text(1768197600000), time_text(1768197600250)
    ('2026-01-12T06:00:00+00:00', '2026-01-12T06:00:00.250+00:00')
    """
    return from_ms(t_ms).isoformat(timespec="milliseconds" if t_ms % 1000 else "seconds")


def _number_text(value: float | None) -> str:
    return "" if value is None else repr(value).removesuffix(".0")


def _zones(conn: sqlite3.Connection, revision: Revision | None) -> dict[Source, str]:
    """Return where each source stands, or stood last; a sensor that the house does not list is named by its zone."""
    lives = houses.lifetimes(conn)
    stands_in = {Source("sensor", life.id): life.id for life in lives if life.kind == "zone"}
    stands_in |= {Source("heater", life.id): life.zone for life in lives if life.kind == "heater"}
    if revision is not None:
        house = revision.house
        stands_in |= {Source("sensor", sensor.id): sensor.zone for sensor in house.sensors}
        stands_in |= {Source("heater", heater.id): zone.id for zone in house.zones for heater in zone.heaters}
    return {**stands_in, OUTDOOR: OUTDOOR.id}


def _thermometers(revision: Revision | None, stands_in: Mapping[Source, str]) -> Iterator[Source]:
    """Yield the sensors that no house lists and that their zone alone names, as the import reads it."""
    if revision is not None:
        zones = set(stands_in.values()) - {OUTDOOR.id}
        yield from (source for zone, source in thermometers(revision.house, zones).items() if source.id == zone)
