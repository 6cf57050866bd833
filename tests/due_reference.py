"""A second opinion on programmes, by counting minutes: slow, and with no thought of how clocks change.

A wall time's instant is the first minute at which the wall clock shows that time or a later one. That one sentence
covers a repeated hour (its first pass) and a gap (the first instant after it).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ingle.model.house import House, Zone
from ingle.model.week import WEEKDAYS

MINUTE = timedelta(minutes=1)
Want = tuple[str | None, float]


class Wall:
    """The wall clock of some days, minute by minute."""

    def __init__(self, timezone: ZoneInfo, first: date, days: int) -> None:
        self.start = datetime.combine(first, time(), UTC) - timedelta(days=1)
        count = (days + 2) * 24 * 60
        self.shown = [(self.start + i * MINUTE).astimezone(timezone).replace(tzinfo=None) for i in range(count)]
        self.reached: list[datetime] = []
        latest = datetime.min  # noqa: DTZ901 - a wall time
        for shown in self.shown:
            latest = max(latest, shown)
            self.reached.append(latest)

    def instant(self, day: date, minutes: int) -> datetime:
        """Return the first minute at which the wall clock has reached a time."""
        wall = datetime.combine(day, time()) + timedelta(minutes=minutes)
        low, high = 0, len(self.reached)
        while low < high:
            middle = (low + high) // 2
            low, high = (middle + 1, high) if self.reached[middle] < wall else (low, middle)
        return self.start + low * MINUTE


def wants(house: House, zone: Zone, first: date, days: int) -> dict[datetime, Want]:
    """Return what the programme wants in every minute of some local days."""
    timezone = ZoneInfo(house.site.timezone)
    wall = Wall(timezone, first - timedelta(days=2), days + 6)
    found: dict[datetime, Want] = {}
    taken: dict[datetime, Want] = {}  # by periods; where a missing day makes two meet, the first keeps its time
    for ahead in range(-2, days + 2):
        day = first + timedelta(days=ahead)
        programme = next((p for p in house.programmes if p.zone == zone.id and WEEKDAYS[day.weekday()] in p.days), None)
        level = programme.otherwise if programme else "setback"
        for at in _minutes(wall.instant(day, 0), wall.instant(day, 24 * 60)):
            found.setdefault(at, (level, house.level_c(zone, level)))
    for start, end, want in sorted(_periods(house, zone, first, days, wall), key=lambda period: period[0]):
        for at in _minutes(start, end):
            taken.setdefault(at, want)
    return found | taken


def _periods(house: House, zone: Zone, first: date, days: int, wall: Wall) -> Iterator[tuple[datetime, datetime, Want]]:
    for ahead in range(-2, days + 2):
        day = first + timedelta(days=ahead)
        for programme in house.programmes:
            if programme.zone == zone.id and WEEKDAYS[day.weekday()] in programme.days:
                for period in programme.periods:
                    start, end = _of(period.start), _of(period.end)
                    end += 24 * 60 if end <= start else 0
                    temp_c = period.temp_c or 0.0
                    want = (period.level, house.level_c(zone, period.level)) if period.level else (None, temp_c)
                    yield wall.instant(day, start), wall.instant(day, end), want


def _minutes(start: datetime, end: datetime) -> list[datetime]:
    return [start + i * MINUTE for i in range(max(0, round((end - start) / MINUTE)))]


def _of(text: str) -> int:
    return int(text[:2]) * 60 + int(text[3:])
