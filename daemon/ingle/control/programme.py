"""What a programme wants at an instant, and what it wants next.

A programme is written in wall-clock time; a heater lives in instants. Each period is turned into one interval of
instants, once, and from there on nothing here knows of summer time:

* a wall time that happens twice (clocks go back) means its first pass, for both ends of a period;
* a wall time that never happens (clocks go forward) means the first instant after the gap;
* so a period whose two ends fall into one gap is empty, and a day has 23, 24 or 25 hours as it comes.

``to`` at or before ``from`` ends on the next day; ``24:00`` is the next day's ``00:00``. Between its periods a day runs
at its programme's ``otherwise``; a day without a programme runs at ``setback``. Overlaps are refused when a house file
is read; should one get here, the period that starts first keeps its time.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from ingle.control.levels import level_c, warm_enough_c
from ingle.model.decisions import Due, Next
from ingle.model.house import House, Zone
from ingle.model.week import WEEKDAYS, LevelName, Period, Programme

_MINUTES_A_DAY = 24 * 60
#: How far ahead a change is looked for: each weekday comes once, and the one under way may have begun yesterday.
_HORIZON_DAYS = 8
_SECOND = timedelta(seconds=1)


class Want(NamedTuple):
    """A temperature and, where one stands behind it, its level."""

    level: LevelName | None
    wanted_c: float


class Stretch(NamedTuple):
    """An interval of instants, its end not included, and what is wanted in it."""

    start: datetime
    end: datetime
    want: Want


def instant(day: date, minutes: int, timezone: ZoneInfo) -> datetime:
    """Return the instant of a wall-clock time, given in minutes after midnight of a day (1440: next midnight).

    >>> london = ZoneInfo("Europe/London")
    >>> instant(date(2026, 10, 25), 90, london).isoformat()  # 01:30 happens twice: its first pass
    '2026-10-25T00:30:00+00:00'
    >>> instant(date(2026, 3, 29), 90, london).isoformat()  # 01:30 never happens: the first instant after the gap
    '2026-03-29T01:00:00+00:00'
    """
    days, minute = divmod(minutes, _MINUTES_A_DAY)
    wall = datetime.combine(day + timedelta(days=days), time(minute // 60, minute % 60), timezone)
    found = wall.astimezone(UTC)
    if found.astimezone(timezone).replace(tzinfo=None) == wall.replace(tzinfo=None):
        return found
    return _end_of_gap(wall, timezone)


def _end_of_gap(wall: datetime, timezone: ZoneInfo) -> datetime:
    """Return the instant at which the gap that swallows a wall time ends, by halving the time around it."""
    before, after = sorted(wall.replace(fold=fold).astimezone(UTC) for fold in (0, 1))
    offset = before.astimezone(timezone).utcoffset()
    while after - before > _SECOND:
        middle = before + (after - before) // 2
        if middle.astimezone(timezone).utcoffset() == offset:
            before = middle
        else:
            after = middle
    # Halving leaves the change inside the last second; changes happen on whole seconds.
    return (before + _SECOND).replace(microsecond=0)


def due(house: House, zone: Zone, at: datetime) -> Due:
    """Return what the zone's programmes want at an instant, until when, and what follows.

    A pure function of its arguments: asked twice it answers twice the same, and asked late it answers for then.
    """
    timezone = ZoneInfo(house.site.timezone)
    today = at.astimezone(timezone).date()
    days = [today + timedelta(days=ahead) for ahead in range(-1, _HORIZON_DAYS + 1)]
    base = _bases(house, zone, days, timezone)
    periods = _periods(house, zone, days, timezone)
    now = _want(base, periods, at)
    changes = sorted({edge for piece in (*base, *periods) for edge in (piece.start, piece.end) if edge > at})
    last = base[-1].end
    for edge in changes:
        if edge >= last:
            break
        then = _want(base, periods, edge)
        if then != now:
            return Due(
                level=now.level,
                wanted_c=now.wanted_c,
                until=edge,
                next=Next(at=edge, level=then.level, wanted_c=then.wanted_c),
            )
    return Due(level=now.level, wanted_c=now.wanted_c, until=None, next=None)


def programmed(house: House, zone: Zone) -> bool:
    """Return whether any programme names the zone."""
    return any(programme.zone == zone.id for programme in house.programmes)


def _want(base: list[Stretch], periods: list[Stretch], at: datetime) -> Want:
    """Return what is wanted at an instant: by the first period that holds it, else by the day."""
    return next(piece.want for piece in (*periods, *base) if piece.start <= at < piece.end)


def _bases(house: House, zone: Zone, days: list[date], timezone: ZoneInfo) -> list[Stretch]:
    """Return what each day wants between its periods."""
    midnights = [instant(day, 0, timezone) for day in (*days, days[-1] + timedelta(days=1))]
    levels = [programme.otherwise if (programme := _of_day(house, zone, day)) else "setback" for day in days]
    return [
        Stretch(midnights[i], midnights[i + 1], Want(level, level_c(house, zone, level)))
        for i, level in enumerate(levels)
    ]


def _periods(house: House, zone: Zone, days: list[date], timezone: ZoneInfo) -> list[Stretch]:
    """Return all periods of some days as stretches, by their start; empty ones are left out."""
    stretches = (
        _stretch(day, period, timezone, _period_want(house, zone, period))
        for day in days
        if (programme := _of_day(house, zone, day)) is not None
        for period in programme.periods
    )
    return sorted((piece for piece in stretches if piece.start < piece.end), key=lambda piece: piece.start)


def _of_day(house: House, zone: Zone, day: date) -> Programme | None:
    """Return the programme that a zone has on a day."""
    weekday = WEEKDAYS[day.weekday()]
    return next((p for p in house.programmes if p.zone == zone.id and weekday in p.days), None)


def _stretch(day: date, period: Period, timezone: ZoneInfo, want: Want) -> Stretch:
    """Return the interval of instants in which a period of a day holds."""
    start, end = _minutes(period.start), _minutes(period.end)
    if end <= start:
        end += _MINUTES_A_DAY
    return Stretch(instant(day, start, timezone), instant(day, end, timezone), want)


def _minutes(clock_time: str) -> int:
    """Return ``HH:MM`` as minutes after midnight."""
    return int(clock_time[:2]) * 60 + int(clock_time[3:])


def _period_want(house: House, zone: Zone, period: Period) -> Want:
    """Return what a period wants: its own temperature, else its level, else the occupied level."""
    if period.temp_c is not None:
        return Want(None, warm_enough_c(house, zone, period.temp_c))
    level: LevelName = period.level or "occupied"
    return Want(level, level_c(house, zone, level))
