"""What a tariff makes of energy. Decimal throughout; rounded once, at the end, by whoever shows it.

A rate with ``from`` and ``to`` holds between two clock times, on the local clock or on UTC (many two-rate meters stay
on one clock all year); a window may cross midnight, and in the hour that clocks repeat it holds in both passes, as the
meter's own switch does. The first window that holds an instant wins; a rate without a window holds at all other times.
Cost = sum of energy times rate, plus days times the standing charge, plus tax on both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

from ingle.model.tariff import Rate, Tariff

_CENT = Decimal("0.01")


def exact(number: float) -> Decimal:
    """Return a number of a house file as the decimal that was written there.

    >>> exact(0.142)
    Decimal('0.142')
    """
    return Decimal(str(number))


def tariff_on(tariffs: Sequence[Tariff], day: date) -> Tariff | None:
    """Return the tariff in force on a local day: the one that started last, None before the first."""
    started = [tariff for tariff in tariffs if tariff.start <= day.isoformat()]
    return max(started, key=lambda tariff: tariff.start, default=None)


def rate_at(tariff: Tariff, at: datetime, timezone: ZoneInfo) -> Decimal:
    """Return the unit rate at an instant, before tax [currency/kWh].

    >>> night = Rate(per_kwh=0.142, start="00:30", end="07:30", clock="utc")
    >>> tariff = Tariff(start="2026-01-01", currency="GBP", rates=(night, Rate(per_kwh=0.316)))
    >>> rate_at(tariff, datetime(2026, 7, 1, 7, 0, tzinfo=UTC), ZoneInfo("Europe/London"))  # 08:00 on the wall
    Decimal('0.142')

    Where no rate holds, the last one given does, so that no energy is free by an oversight.
    """
    open_rates = [rate for rate in tariff.rates if rate.start is None or rate.end is None]
    windowed = (rate for rate in tariff.rates if rate not in open_rates and _holds(rate, at, timezone))
    fallback = open_rates[0] if open_rates else tariff.rates[-1]
    return exact(next(windowed, fallback).per_kwh)


def before_tax(
    tariff: Tariff, energy: Iterable[tuple[datetime, float]], timezone: ZoneInfo, *, days: float = 0.0
) -> Decimal:
    """Return what energy and standing charges cost, before tax [currency].

    Parameters
    ----------
    energy
        Pairs of an instant and the energy used from then on [Wh], in pieces no longer than a quarter of an hour, so
        that none lies across the edge of a window.
    days
        Days of standing charge [d].
    """
    units = sum((exact(wh) / 1000 * rate_at(tariff, at, timezone) for at, wh in energy), Decimal(0))
    return units + exact(days) * exact(tariff.standing_per_day)


def with_tax(tariff: Tariff, amount: Decimal) -> Decimal:
    """Return an amount with the tariff's tax on it [currency]."""
    return amount * (1 + exact(tariff.tax_percent) / 100)


def rounded(amount: Decimal) -> Decimal:
    """Return an amount in whole hundredths, halves up, as bills are.

    >>> rounded(Decimal("516.066"))
    Decimal('516.07')
    """
    return amount.quantize(_CENT, ROUND_HALF_UP)


def _holds(rate: Rate, at: datetime, timezone: ZoneInfo) -> bool:
    """Return whether a rate's window holds an instant."""
    clock = at.astimezone(UTC if rate.clock == "utc" else timezone)
    now, start, end = f"{clock:%H:%M}", rate.start or "00:00", rate.end or "24:00"
    return start <= now < end if start < end else now >= start or now < end
