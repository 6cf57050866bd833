"""What each room should take over some days to come: by its own days of late, else by its design and programme."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt
from typing import Final, Literal
from zoneinfo import ZoneInfo

from ingle.control.pattern import DAY_H, pattern
from ingle.errors import BadInput
from ingle.model.forecasts import Method
from ingle.model.house import House, Zone
from ingle.model.instants import from_ms
from ingle.model.readings import Source
from ingle.model.what_if import Changes
from ingle.money.forecast import Expected, expected
from ingle.money.periods import Day
from ingle.physics.warm_spells import Room, settled_steps
from ingle.reports import newest_verdicts
from ingle.reports.days import Cold
from ingle.reports.forecast_prices import QUARTERS
from ingle.reports.room_basis import basis
from ingle.reports.use import Use
from ingle.reports.what_if_cases import pieces
from ingle.store.rollups import quarters

#: How many whole days back are looked at, and how much of a day must be known of each heater.
BACK_DAYS: Final = 28
KNOWN: Final = 0.9
#: Half as much again, or half: nobody has seen the room lived in (our own choice, wider than any design's limits).
_DESIGN_REACH: Final = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Weather:
    """The weather to come as it is reckoned with: mean [°C], degree days in all [K·d], where they are from."""

    outdoor_c: float | None
    degree_days: float | None
    origin: Literal["given", "measured"] | None
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A room's expected use with its shares of a day [kWh, quarter by quarter], or why there is none.

    ``by_day`` are the days that it goes by, where it goes by days.
    """

    kwh: float | None = None
    low: float = 0.0
    high: float = 0.0
    method: Method | None = None
    shape: tuple[float, ...] = ()
    by_day: tuple[Day | None, ...] = ()
    missing: str | None = None


def lately(
    zone: Zone, used: Sequence[Use], cold: Sequence[Cold | None], hours: Sequence[float]
) -> tuple[Day | None, ...]:
    """Return each day looked back at, None where not every heater of the zone is known."""
    own = [use for use in used if use.zone == zone.id and use.heater in {heater.id for heater in zone.heaters}]
    if len(own) < len(zone.heaters):
        return (None,) * len(hours)
    found: list[Day | None] = []
    for place, day_h in enumerate(hours):
        parts = [use.parts[place] for use in own]
        known = [part.energy_wh for part in parts if part.energy_wh is not None]
        outside = cold[place]
        if len(known) == len(parts) and all(part.covered_s >= KNOWN * day_h * 3600 for part in parts):
            found.append(Day(sum(known) / 1000, None if outside is None else outside.degree_days))
        else:
            found.append(None)
    return tuple(found)


def room(
    conn: sqlite3.Connection,
    house: House,
    zone: Zone,
    by_day: tuple[Day | None, ...],
    weather: Weather,
    days: int,
    end_ms: int,
) -> Said:
    """Return what a zone should take over some days: by the days known of it, else by its design.

    Parameters
    ----------
    by_day
        Of ``lately``.
    end_ms
        Where the days looked back at end.
    """
    known = [day for day in by_day if day is not None]
    found = expected(known, days, weather.degree_days)
    if found is not None:
        return replace(_by_record(conn, house, zone, found, end_ms), by_day=by_day)
    return _by_design(conn, house, zone, weather, days, len(known))


def _by_record(conn: sqlite3.Connection, house: House, zone: Zone, found: Expected, end_ms: int) -> Said:
    """Return what a zone's own days say, at the hours of the house's clock at which it took its energy."""
    timezone, shape = ZoneInfo(house.site.timezone), [0.0] * QUARTERS
    for heater in zone.heaters:
        for quarter in quarters(conn, Source("heater", heater.id), end_ms - BACK_DAYS * 86_400_000, end_ms):
            at = from_ms(quarter.start_ms).astimezone(timezone)
            shape[at.hour * 4 + at.minute // 15] += quarter.energy_wh or 0.0
    return Said(kwh=found.kwh, low=found.low, high=found.high, method=found.method, shape=tuple(shape))


def _by_design(conn: sqlite3.Connection, house: House, zone: Zone, weather: Weather, days: int, known: int) -> Said:
    """Return what a zone's design and programme say."""
    if weather.outdoor_c is None:
        return Said(missing=f"{known} whole days are known, 7 are needed, and no outdoor temperature to go by design.")
    asked = Changes(outdoor_c=weather.outdoor_c, gains_k=house.site.gains_k)
    try:
        on = basis(house, zone, newest_verdicts.noted(conn, zone.id), None, asked)
    except BadInput as error:
        return Said(missing=f"{known} whole days are known, 7 are needed, and its design gives none: {error}.")
    room = Room(on.loss.w_per_k, on.tau_h, on.power_w, on.outdoor_c + asked.gains_k)
    wanted = pattern(house, zone)
    steps = settled_steps(room, wanted, warm_up_on_time=False)
    shape = [0.0] * QUARTERS
    for minute, wh in pieces(steps):
        shape[minute // 15 % QUARTERS] += wh
    kwh = sum(shape) / 1000 / (sum(stretch.hours for stretch in wanted) / DAY_H) * days
    return Said(
        kwh=kwh, low=kwh * (1 - _DESIGN_REACH), high=kwh * (1 + _DESIGN_REACH), method="design", shape=tuple(shape)
    )


def together(said: Sequence[Said], days: int, degree_days: float | None) -> tuple[float, float]:
    """Return how far below and above their sum several rooms may come [kWh].

    Rooms that go by their days share weather, sun and guests: their limits are those of the days' sums, and never less
    than of rooms that stray each by themselves. Those that go by design add to that by squares.
    """
    down = sqrt(sum((each.kwh - each.low) ** 2 for each in said if each.kwh is not None))
    up = sqrt(sum((each.high - each.kwh) ** 2 for each in said if each.kwh is not None))
    by_days = [each.by_day for each in said if each.by_day]
    if len(by_days) < 2:
        return down, up
    sums = [_summed([day for day in row if day is not None]) for row in zip(*by_days, strict=True) if None not in row]
    found = expected(sums, days, degree_days)
    if found is None:
        return down, up
    designed = [each for each in said if each.kwh is not None and not each.by_day]
    reach = found.high - found.kwh
    apart_down = sqrt(reach**2 + sum(((each.kwh or 0.0) - each.low) ** 2 for each in designed))
    apart_up = sqrt(reach**2 + sum((each.high - (each.kwh or 0.0)) ** 2 for each in designed))
    return max(down, apart_down), max(up, apart_up)


def _summed(row: Sequence[Day]) -> Day:
    return Day(sum(day.kwh for day in row), row[0].degree_days)
