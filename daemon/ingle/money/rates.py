"""Which tariff holds on a day, and which rate at an instant.

A rate with ``from`` and ``to`` holds between two clock times, on the local clock or on UTC (many two-rate meters stay
on one clock all year). A window may cross midnight and then belongs, with its ``days``, to the day on which it began.
In the hour that clocks repeat it holds in both passes, as the meter's own switch does. The first window that holds an
instant wins, then a rate without a window, one for some days before one for all; where none holds, the last given.

A tariff with a ``series`` takes its rate from there wherever the series has one: half-hourly prices, published a day
ahead, which may be below zero. Its ``rates`` hold where the series has none.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from ingle.model.instants import to_ms
from ingle.model.tariff import Rate, Tariff
from ingle.model.week import WEEKDAYS
from ingle.money.amounts import exact

_MINUTES_A_DAY = 24 * 60


@dataclass(frozen=True, slots=True)
class Series:
    """Prices one after another: from when to when [ms], sorted and apart, and how much before tax [currency/kWh]."""

    starts_ms: tuple[int, ...] = ()
    ends_ms: tuple[int, ...] = ()
    per_kwh: tuple[Decimal, ...] = ()

    def at(self, t_ms: int) -> Decimal | None:
        """Return the price at an instant; None where there is none.

        >>> Series((0,), (1_800_000,), (Decimal("-0.02"),)).at(1_799_999)
        Decimal('-0.02')
        """
        place = bisect_right(self.starts_ms, t_ms) - 1
        return self.per_kwh[place] if place >= 0 and t_ms < self.ends_ms[place] else None

    def edges_ms(self, start_ms: int, end_ms: int) -> list[int]:
        """Return where prices begin or end inside a span."""
        low, high = bisect_right(self.ends_ms, start_ms), bisect_right(self.starts_ms, end_ms)
        return [edge for n in range(low, high) for edge in (self.starts_ms[n], self.ends_ms[n])]


#: Price series by the name that tariffs give them.
Serieses = Mapping[str, Series]


def tariff_on(tariffs: Sequence[Tariff], day: date) -> Tariff | None:
    """Return the tariff in force on a local day: the one that started last, None before the first."""
    started = [tariff for tariff in tariffs if tariff.start <= day.isoformat()]
    return max(started, key=lambda tariff: tariff.start, default=None)


def rate_at(tariff: Tariff, at: datetime, timezone: ZoneInfo, serieses: Serieses | None = None) -> Decimal:
    """Return the unit rate at an instant, before tax [currency/kWh].

    >>> night = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
    >>> tariff = Tariff(start="2026-01-01", currency="GBP", rates=(night, Rate(per_kwh=0.316)))
    >>> rate_at(tariff, datetime(2026, 7, 1, 7, 0, tzinfo=UTC), ZoneInfo("Europe/London"))  # 08:00 on the wall
    Decimal('0.142')

    Where no rate holds, the last one given does, so that no energy is free by an oversight.
    """
    if tariff.series is not None and serieses is not None:
        known = serieses.get(tariff.series, Series()).at(to_ms(at))
        if known is not None:
            return known
    clocks = {"utc": at.astimezone(UTC), "local": at.astimezone(timezone)}
    windows = (rate for rate in tariff.rates if not is_open(rate) and _holds(rate, clocks[rate.clock]))
    always = (rate for rate in tariff.rates if is_open(rate) and _on(rate, clocks[rate.clock].weekday()))
    of_the_day = sorted(always, key=lambda rate: not rate.days)
    return exact(next(iter((*windows, *of_the_day)), tariff.rates[-1]).per_kwh)


def is_open(rate: Rate) -> bool:
    """Whether a rate has no window: it holds whenever no window does."""
    return rate.start is None or rate.end is None


def _holds(rate: Rate, clock: datetime) -> bool:
    """Return whether a rate's window holds at what its clock shows."""
    now = clock.hour * 60 + clock.minute
    start, end = minutes(rate.start or "00:00") % _MINUTES_A_DAY, minutes(rate.end or "24:00")
    today, yesterday = clock.weekday(), (clock.weekday() - 1) % 7
    if start < end:
        return start <= now < end and _on(rate, today)
    return (now >= start and _on(rate, today)) or (now < end and _on(rate, yesterday))


def _on(rate: Rate, weekday: int) -> bool:
    return not rate.days or WEEKDAYS[weekday] in rate.days


def minutes(clock_time: str) -> int:
    """Return a clock time as minutes after midnight.

    >>> minutes("00:30"), minutes("24:00")
    (30, 1440)
    """
    return int(clock_time[:2]) * 60 + int(clock_time[3:])
