"""A span cut into stretches of one rate each, day by day on the house's own clock.

Between two neighbouring edges the rate is one: edges are local midnights, both ends of every window on its own clock,
and the edges of half-hourly prices. On a day on which clocks change, every quarter-hour is an edge too, for local
windows then begin and end where no wall time says so; all time zones in use change on whole quarters of an hour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import pairwise
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from ingle.model.instants import from_ms, to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.money.rates import Series, Serieses, is_open, minutes, rate_at, tariff_on

_DAY_MS: Final = 86_400_000
_QUARTER_MS: Final = 900_000


class Stretch(NamedTuple):
    """From when to when [ms], on which local day, at which rate before tax; neither tariff nor rate: nobody knows."""

    start_ms: int
    end_ms: int
    day: date
    tariff: Tariff | None
    rate: Decimal | None


class LocalDay(NamedTuple):
    """A day on the house's own clock: 23, 24 or 25 hours between two instants [ms]."""

    date: date
    start_ms: int
    end_ms: int

    @property
    def hours(self) -> float:
        """How long it is [h]."""
        return (self.end_ms - self.start_ms) / 3_600_000


def local_days(start_ms: int, end_ms: int, timezone: ZoneInfo) -> list[LocalDay]:
    """Return every local day that a span touches, each whole.

    >>> spring = to_ms(datetime(2026, 3, 29, 12, tzinfo=UTC))
    >>> [(str(day.date), day.hours) for day in local_days(spring, spring + 1, ZoneInfo("Europe/London"))]
    [('2026-03-29', 23.0)]
    """
    if start_ms >= end_ms:
        return []
    first = from_ms(start_ms).astimezone(timezone).date()
    last = from_ms(end_ms - 1).astimezone(timezone).date()
    count = (last - first).days + 1
    edges = [_midnight(first + timedelta(days=n), timezone) for n in range(count + 1)]
    return [LocalDay(first + timedelta(days=n), edges[n], edges[n + 1]) for n in range(count)]


def stretches(
    tariffs: Sequence[Tariff], start_ms: int, end_ms: int, timezone: ZoneInfo, serieses: Serieses | None = None
) -> list[Stretch]:
    """Return a span as stretches of one rate and one local day each, in time order and without holes.

    >>> night = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
    >>> tariff = Tariff(start="2026-01-01", currency="GBP", rates=(night, Rate(per_kwh=0.316)))
    >>> day = to_ms(datetime(2026, 1, 5, tzinfo=UTC))
    >>> [(s.start_ms - day, str(s.rate)) for s in stretches([tariff], day, day + 86_400_000, ZoneInfo("UTC"))]
    [(0, '0.316'), (1800000, '0.142'), (27000000, '0.316')]
    """
    found: list[Stretch] = []
    for day in local_days(start_ms, end_ms, timezone):
        low, high = max(day.start_ms, start_ms), min(day.end_ms, end_ms)
        tariff = tariff_on(tariffs, day.date)
        if tariff is None:
            found.append(Stretch(low, high, day.date, None, None))
        else:
            found += _of_day(day, tariff, low, high, timezone, serieses or {})
    return found


def _of_day(
    day: LocalDay, tariff: Tariff, low: int, high: int, timezone: ZoneInfo, serieses: Serieses
) -> Iterator[Stretch]:
    """Yield one day's stretches, neighbours of one rate joined."""
    edges = sorted({low, high, *(edge for edge in _edges(day, tariff, timezone, serieses) if low < edge < high)})
    begun, rate = low, rate_at(tariff, from_ms(low), timezone, serieses)
    for start, _ in pairwise(edges):
        here = rate_at(tariff, from_ms(start), timezone, serieses)
        if here != rate:
            yield Stretch(begun, start, day.date, tariff, rate)
            begun, rate = start, here
    yield Stretch(begun, high, day.date, tariff, rate)


def _edges(day: LocalDay, tariff: Tariff, timezone: ZoneInfo, serieses: Serieses) -> Iterator[int]:
    """Yield every instant of a day at which its rate may change, and some more."""
    if tariff.series is not None:
        yield from serieses.get(tariff.series, Series()).edges_ms(day.start_ms, day.end_ms)
    for rate in tariff.rates:
        if not is_open(rate):
            yield from _window_edges(rate, day, timezone)
        elif rate.clock == "utc" and rate.days:
            yield from _at(day.date, 0, ZoneInfo("UTC"))
            yield from _at(day.date + timedelta(days=1), 0, ZoneInfo("UTC"))
    if day.end_ms - day.start_ms != _DAY_MS:
        yield from range(day.start_ms, day.end_ms, _QUARTER_MS)


def _window_edges(rate: Rate, day: LocalDay, timezone: ZoneInfo) -> Iterator[int]:
    """Yield where a window begins or ends on a day or on its neighbours, on the window's own clock."""
    clock = ZoneInfo("UTC") if rate.clock == "utc" else timezone
    for ahead in (-1, 0, 1):
        for text in (rate.start or "00:00", rate.end or "24:00"):
            yield from _at(day.date + timedelta(days=ahead), minutes(text), clock)


def _at(day: date, minute: int, clock: ZoneInfo) -> tuple[int, int]:
    """Return both instants that a wall time may mean [ms]."""
    days, rest = divmod(minute, 24 * 60)
    wall = datetime.combine(day + timedelta(days=days), datetime.min.time()) + timedelta(minutes=rest)
    first, second = (to_ms(wall.replace(tzinfo=clock, fold=fold).astimezone(UTC)) for fold in (0, 1))
    return first, second


def _midnight(day: date, timezone: ZoneInfo) -> int:
    return to_ms(datetime.combine(day, datetime.min.time(), timezone).astimezone(UTC))
