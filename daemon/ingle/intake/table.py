"""Readings as a table: the columns of a CSV file, and how a line becomes a reading.

* ``heater`` names who reports; ``zone`` beside it may be left empty, but may not contradict the house.
* ``zone = outdoor`` with no heater is the outdoor station.
* ``sensor`` or ``meter`` name one of the house's sensors or meters, or one that reported before it left the house.
* A zone alone is the one thermometer that the house lists in that zone. Where it lists none or several, the row is of
  one that the house file does not list: it is kept as a sensor under the zone's own id.
* ``fault`` is what a heater reports, ``-`` for a fault that is over; ``future`` marks what came dated ahead of the
  clock and is kept under its arrival.

A line is a row: no field may hold a line break. Times need their offset. A file is history, so nothing of it becomes
live, and a time ahead of the clock is flagged, not changed: a board without a battery may be the one that is wrong.
"""

from __future__ import annotations

import csv
import re
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final, Literal

import msgspec
from msgspec import Meta

from ingle.config.walk import allowed
from ingle.errors import BadInput, Fault, Refused
from ingle.intake.intake import FUTURE_MS
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.model.measured import EARLIEST_MS, LATEST_MS, TIMES_WORDS, Measured, one_line, why_implausible
from ingle.model.readings import OUTDOOR, Reading, Source
from ingle.store import houses
from ingle.store.readings import sources

COLUMNS: Final = ("time", "zone", "heater", "power_w", "energy_wh", "temp_c", "setpoint_c")
OPTIONAL: Final = (
    *("irradiance_w_per_m2", "wind_m_per_s", "voltage_v", "humidity_percent", "energy_is", "opening", "boot", "seq"),
    *("sensor", "meter", "fault", "future"),
)
#: Columns of a file of rejects, passed over so that it can be mended and imported as it is.
PASSED_OVER: Final = ("line", "reason")
NEEDED: Final = ("time", "zone", "heater")
#: The longest line that is looked at [characters].
LINE_MAX: Final = 2000
#: How a fault that is over is written; an empty cell says nothing of faults.
NO_FAULT: Final = "-"

_TIME_WORDS: Final = "ISO 8601 with offset, such as 2026-01-12T06:00:00+00:00"
_PLACE: Final = re.compile(r" - at `\$\.(\w+)`$")


class Row(Measured, gc=False):
    """A line's fields; those left empty are absent."""

    time: str = ""
    zone: str = ""
    heater: str = ""
    sensor: str = ""
    meter: str = ""
    boot: Annotated[str, Meta(max_length=64)] | None = None
    seq: Annotated[int, Meta(ge=0, le=2**53)] | None = None
    future: bool = False


#: What each field takes, in words.
_ALLOWED: Final = {
    field.encode_name: allowed(field.type)
    for field in msgspec.inspect.type_info(Row).fields  # type: ignore[attr-defined]  # a struct's type
}


class BadRow(ValueError):  # noqa: N818 - whose fault it is
    """A line that cannot be taken, and why."""


@dataclass(frozen=True, slots=True)
class Places:
    """What the house has, or once had.

    Zones; heaters, sensors and meters, each with the zones that may stand beside it; and, by zone, whose reading a row
    is that names the zone alone.
    """

    zones: frozenset[str]
    heaters: Mapping[str, frozenset[str]]
    sensors: Mapping[str, frozenset[str]]
    meters: Mapping[str, frozenset[str]]
    thermometers: Mapping[str, Source]


def places(conn: sqlite3.Connection) -> Places:
    """Return what rows may name, from the newest revision and from what it closed.

    Raises
    ------
    Refused
        Where no house is loaded: then nothing can be told from a slip of the pen.
    """
    revision = houses.current(conn)
    if revision is None:
        raise Refused("no house is loaded; `ingle house load FILE` loads one")
    house, lives, reported = revision.house, houses.lifetimes(conn), sources(conn)
    zones = frozenset([*(zone.id for zone in house.zones), *(life.id for life in lives if life.kind == "zone")])
    pairs = [(heater.id, zone.id) for zone in house.zones for heater in zone.heaters]
    pairs += [(life.id, life.zone) for life in lives if life.kind == "heater"]
    gone = {kind: [source.id for source in reported if source.kind == kind] for kind in ("sensor", "meter")}
    return Places(
        zones=zones,
        heaters={heater: frozenset(zone for name, zone in pairs if name == heater) for heater, _ in pairs},
        sensors={
            # Where a sensor stood that is no longer listed, nobody knows; a thermometer named by its zone stands there.
            **{name: frozenset([*zones, OUTDOOR.id]) for name in gone["sensor"]},
            **{zone: frozenset([zone]) for zone in zones},
            **{sensor.id: frozenset([sensor.zone]) for sensor in house.sensors},
        },
        meters={name: frozenset([""]) for name in [*gone["meter"], *(meter.id for meter in house.meters)]},
        thermometers=thermometers(house, zones),
    )


def thermometers(house: House, zones: Iterable[str]) -> dict[str, Source]:
    """Return, by zone, the source that a row means which names the zone alone; none where the zone's id is taken.

    >>> from ingle.model.house import Site
    >>> thermometers(House(site=Site(name="Net Store", outdoor_design_c=-2.0)), ["loft"])
    {'loft': Source(kind='sensor', id='loft')}
    """
    found: dict[str, Source] = {}
    for zone in zones:
        listed = [each.id for each in house.sensors if each.zone == zone and each.measures == "temperature"]
        name = listed[0] if len(listed) == 1 else zone
        if all(sensor.id != name or sensor.zone == zone for sensor in house.sensors):
            found[zone] = Source("sensor", name)
    return found


def header(line: str, source: str = "") -> tuple[str, ...]:
    """Return the columns that a file's first line names.

    >>> header("time,zone,heater,temp_c")
    ('time', 'zone', 'heater', 'temp_c')

    Raises
    ------
    BadInput
        With every column that is missing, unknown or named twice.
    """
    try:
        line.encode()
        names = tuple(name.strip() for name in _fields(line))
    except UnicodeEncodeError:
        raise BadInput([Fault(("line 1",), "bytes that are not UTF-8", "text in UTF-8", source)]) from None
    except BadRow:
        raise BadInput([Fault(("line 1",), line[:60], "column names parted by commas", source)]) from None
    known = (*COLUMNS, *OPTIONAL, *PASSED_OVER)
    allowed = "one of " + ", ".join((*COLUMNS, *OPTIONAL))
    faults = [Fault(("line 1",), name, allowed, source) for name in names if name not in known]
    faults += [
        Fault(("line 1",), name, "each column once", source) for name in dict.fromkeys(names) if names.count(name) > 1
    ]
    missing = [name for name in NEEDED if name not in names]
    if missing:
        wanted = f"a first line with the columns {', '.join(missing)} too"
        faults.append(Fault(("line 1",), line[:60], wanted, source))
    if faults:
        raise BadInput(faults)
    return names


def reading(line: str, columns: Sequence[str], known: Places, now_ms: int) -> Reading:
    """Return the reading that a line holds.

    Parameters
    ----------
    line
        Without its end.
    columns
        What the header names.
    known
        What the house has.
    now_ms
        The time of the import [ms].

    Raises
    ------
    BadRow
        With the reason.
    """
    row = _row(line, columns)
    source = _source(row, known)
    why = why_implausible(source, row)
    if why:
        raise BadRow(why)
    t_ms = _instant_ms(row.time)
    return Reading(
        source=source,
        t_ms=t_ms,
        arrived_ms=now_ms,
        boot=None if row.boot is None else one_line(row.boot) or None,
        seq=row.seq,
        power_w=row.power_w,
        energy_wh=row.energy_wh,
        energy_is=row.energy_is,
        voltage_v=row.voltage_v,
        temp_c=row.temp_c,
        setpoint_c=row.setpoint_c,
        humidity_percent=row.humidity_percent,
        irradiance_w_per_m2=row.irradiance_w_per_m2,
        wind_m_per_s=row.wind_m_per_s,
        opening=row.opening,
        fault=None if row.fault is None else "" if row.fault == NO_FAULT else one_line(row.fault),
        future=row.future or t_ms > now_ms + FUTURE_MS,
    )


def _row(line: str, columns: Sequence[str]) -> Row:
    if len(line) > LINE_MAX:
        raise BadRow(f"the line is longer than {LINE_MAX} characters")
    try:
        line.encode()
    except UnicodeEncodeError:
        raise BadRow("the line is not text in UTF-8") from None
    cells = _fields(line)
    if len(cells) != len(columns):
        raise BadRow(f"{_count(cells)}, but the header names {len(columns)}")
    stripped = zip(columns, (cell.strip() for cell in cells), strict=True)
    given = {name: cell for name, cell in stripped if cell}
    try:
        return msgspec.convert(given, Row, strict=False)
    except msgspec.ValidationError as error:
        raise BadRow(_words(str(error), given)) from None


def _fields(line: str) -> list[str]:
    try:
        return next(csv.reader([line], strict=True), [])
    except csv.Error as error:
        raise BadRow(f"the line is not CSV: {error}") from None


def _count(cells: Sequence[str]) -> str:
    return "1 field" if len(cells) == 1 else f"{len(cells)} fields"


def _words(message: str, given: Mapping[str, str]) -> str:
    """Say with the value which field is wrong."""
    place = _PLACE.search(message)
    if place is None:
        return message
    name = place[1]
    return f"{name}: {given.get(name, '')[:40]!r} is not allowed; allowed: {_ALLOWED[name]}"


def _source(row: Row, known: Places) -> Source:
    named = [name for name in (row.heater, row.sensor, row.meter) if name]
    if len(named) > 1:
        raise BadRow(f"{' and '.join(named)}: a line is of one heater, sensor or meter")
    if row.heater:
        return _of("heater", row.heater, row.zone, known.heaters)
    if row.sensor:
        return _of("sensor", row.sensor, row.zone, known.sensors)
    if row.meter:
        return _of("meter", row.meter, row.zone, known.meters)
    return OUTDOOR if row.zone == OUTDOOR.id else _alone(row.zone, known)


def _of(
    kind: Literal["heater", "sensor", "meter"], name: str, zone: str, known: Mapping[str, frozenset[str]]
) -> Source:
    stands_in = known.get(name)
    if stands_in is None:
        raise BadRow(f"{kind}: {name[:40]!r} is not in this house")
    if zone and zone not in stands_in:
        where = " or ".join(sorted(stands_in)) or "no zone"
        raise BadRow(f"zone: {zone[:40]!r} is not allowed: {kind} {name} stands in {where}")
    return Source(kind, name)


def _alone(zone: str, known: Places) -> Source:
    """Return the source of a row that names nothing but a zone."""
    if not zone:
        raise BadRow("zone: '' is not allowed: a line names a zone, a heater, or outdoor")
    if zone not in known.zones:
        raise BadRow(f"zone: {zone[:40]!r} is not in this house")
    found = known.thermometers.get(zone)
    if found is None:
        raise BadRow(f"zone: {zone!r} alone is ambiguous: a sensor of that id stands elsewhere")
    return found


def _instant_ms(text: str) -> int:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise BadRow(f"time: {text[:40]!r} is no time; allowed: {_TIME_WORDS}") from None
    if when.tzinfo is None:
        raise BadRow(f"time: {text[:40]!r} has no offset; allowed: {_TIME_WORDS}")
    t_ms = to_ms(when)
    if not EARLIEST_MS <= t_ms < LATEST_MS:
        raise BadRow(f"time: {text[:40]!r} is not allowed; allowed: {TIMES_WORDS}")
    return t_ms
