"""Energy day by day on the house's own clock, beside how cold each day was.

Rules of this file: a day is from one local midnight to the next, however long; degree days are the mean, over the
quarter-hours of a day, of how far the outdoor temperature lay below the base; a day of which less than three quarters
were measured outdoors has none, for its night may be what is missing.
"""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.errors import BadInput, Fault, Unknown
from ingle.model.days import DayZone, EnergyDay, EnergyDays
from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money import LocalDay, local_days
from ingle.physics.weather import BASE_C
from ingle.reports.energy import plain
from ingle.reports.outdoors import sources
from ingle.reports.use import Part, Use, summed, uses
from ingle.store.readings import QUARTER_MS
from ingle.store.rollups import quarters

#: The least share of a day that must be measured outdoors.
_MEASURED: Final = 0.75
#: The longest span that is shown day by day; three years bound the answer [d].
LONGEST_DAYS: Final = 1100


class Cold(NamedTuple):
    """How cold a day was: its mean [°C] and its degree days [K·d]."""

    mean_c: float
    degree_days: float


def energy_days(
    conn: sqlite3.Connection, house: House, start: datetime, end: datetime, zones: Sequence[str] = ()
) -> EnergyDays:
    """Return the energy of every local day that a span touches, each day whole.

    Raises
    ------
    BadInput
        Where the span does not end after its start, or is longer than ``LONGEST_DAYS``.
    Unknown
        Where a zone is not, and never was, in the house.
    """
    days = whole_days(house, start, end)
    used = of_zones(house, uses(conn, house, [days[0].start_ms, *(day.end_ms for day in days)]), zones)
    cold = outdoors(conn, house, days)
    shown = tuple(_day(day, place, used, cold[place]) for place, day in enumerate(days))
    return EnergyDays(start=start, end=end, base_c=BASE_C, days=shown, missing=tuple(_missing(used, cold)))


def whole_days(house: House, start: datetime, end: datetime) -> list[LocalDay]:
    """Return the local days that a span touches.

    Raises
    ------
    BadInput
        Where it does not end after its start, or is too long.
    """
    if not to_ms(start) < to_ms(end):
        raise BadInput([Fault(("to",), end.isoformat(), f"an instant after from ({start.isoformat()})")])
    if (end - start).days > LONGEST_DAYS:
        raise BadInput([Fault(("to",), end.isoformat(), f"at most {LONGEST_DAYS} days after from")])
    return local_days(to_ms(start), to_ms(end), ZoneInfo(house.site.timezone))


def of_zones(house: House, used: list[Use], zones: Sequence[str]) -> list[Use]:
    """Return what was used in some zones; in all where none is named.

    Raises
    ------
    Unknown
        Where a zone is not, and never was, in the house.
    """
    for zone in zones:
        if house.zone(zone) is None and zone not in {use.zone for use in used}:
            raise Unknown(f"zone {zone!r} is not in this house; it has: {', '.join(each.id for each in house.zones)}")
    return [use for use in used if not zones or use.zone in zones]


def outdoors(
    conn: sqlite3.Connection, house: House, days: Sequence[LocalDay], base_c: float = BASE_C
) -> list[Cold | None]:
    """Return how cold each day was, by the first source outdoors that knows it; None where too little was measured."""
    found: list[Cold | None] = [None] * len(days)
    for source, offset_k in sources(house):
        if None not in found:
            break
        temps = {
            quarter.start_ms: quarter.mean_temp_c + offset_k
            for quarter in quarters(conn, source, days[0].start_ms, days[-1].end_ms)
            if quarter.mean_temp_c is not None
        }
        found = [cold or _cold(temps, day, base_c) for cold, day in zip(found, days, strict=True)]
    return found


def _cold(temps: dict[int, float], day: LocalDay, base_c: float) -> Cold | None:
    starts = range(day.start_ms // QUARTER_MS * QUARTER_MS, day.end_ms, QUARTER_MS)
    known = [temps[start] for start in starts if start in temps]
    if len(known) < _MEASURED * len(starts):
        return None
    below = sum(max(0.0, base_c - each) for each in known) / len(known)
    return Cold(sum(known) / len(known), below * day.hours / 24)


def _day(day: LocalDay, place: int, used: Sequence[Use], cold: Cold | None) -> EnergyDay:
    by_zone: dict[str, list[Part]] = defaultdict(list)
    for use in used:
        by_zone[use.zone].append(use.parts[place])
    sums = {zone: summed(parts) for zone, parts in by_zone.items()}
    whole = summed(sums.values())
    return EnergyDay(
        date=day.date.isoformat(),
        zones=tuple(
            DayZone(zone=zone, energy_wh=plain(each.energy_wh), quality=each.quality) for zone, each in sums.items()
        ),
        energy_wh=plain(whole.energy_wh),
        quality=whole.quality,
        outdoor_c=None if cold is None else plain(cold.mean_c),
        degree_days_kd=None if cold is None else plain(cold.degree_days),
        hours=day.hours,
    )


def _missing(used: Sequence[Use], cold: Sequence[Cold | None]) -> list[str]:
    said = [f"nothing is known of the energy of {use.heater}" for use in used if use.covered_s == 0]
    without = sum(each is None for each in cold)
    if without:
        said.append(f"outdoor readings are missing for {without} of {len(cold)} days, which have no degree days")
    return said
