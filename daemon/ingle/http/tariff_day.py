"""What a kWh costs through one day of the house's own clock: the strip that the pages draw."""

from __future__ import annotations

import sqlite3
from datetime import date, datetime
from typing import Annotated, Final
from zoneinfo import ZoneInfo

import msgspec
from msgspec import Meta

from ingle.errors import Fault
from ingle.http.problems import BadQuery
from ingle.http.route import Call, Reply, Route
from ingle.model.base import Result
from ingle.model.costs import Money
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.money import Stretch, exact, local_days, stretches, tariff_on
from ingle.store import prices

Instant = Annotated[datetime, Meta(tz=True)]


class OneDay(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which day."""

    date: Annotated[str, Meta(description="a local date, YYYY-MM-DD; today where none is named")] | None = None


class PricedStretch(Result, frozen=True, kw_only=True):
    """From when to when a kWh has one price, before tax; null where no tariff holds."""

    start: Instant = msgspec.field(name="from")
    end: Instant = msgspec.field(name="to")
    per_kwh: Money | None


class TariffDay(Result, frozen=True, kw_only=True):
    """The prices of a local day, which has 23, 24 or 25 hours. ``since``: from when the tariff that holds, holds."""

    date: str
    hours: float
    currency: str | None
    standing: Money | None
    tax_percent: float | None
    since: str | None
    series: str | None
    stretches: tuple[PricedStretch, ...]


async def tariff_day(call: Call) -> Reply:
    """Return the prices of a day."""
    house, now = call.parts.live.house, call.parts.clock.now()
    day = _day(call.query.date, now.astimezone(ZoneInfo(house.site.timezone)).date())
    return Reply(value=await call.parts.store.read(lambda conn: _priced(conn, house, day)))


def _day(text: str | None, today: date) -> date:
    if text is None:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise BadQuery([Fault(("date",), text, "a date such as 2026-01-31")]) from None
    if not date(1971, 1, 1) <= day <= date(2199, 12, 31):
        raise BadQuery([Fault(("date",), text, "a date from 1971 to 2199")])
    return day


def _priced(conn: sqlite3.Connection, house: House, day: date) -> TariffDay:
    timezone = ZoneInfo(house.site.timezone)
    noon_ms = to_ms(datetime(day.year, day.month, day.day, 12, tzinfo=timezone))
    (local,) = (each for each in local_days(noon_ms, noon_ms + 1, timezone) if each.date == day)
    series = prices.of_tariffs(conn, house.tariffs, local.start_ms, local.end_ms)
    found = stretches(house.tariffs, local.start_ms, local.end_ms, timezone, series)
    tariff = tariff_on(house.tariffs, day)
    return TariffDay(
        date=day.isoformat(),
        hours=local.hours,
        currency=None if tariff is None else tariff.currency,
        standing=None if tariff is None else f"{exact(tariff.standing_per_day):f}",
        tax_percent=None if tariff is None else tariff.tax_percent,
        since=None if tariff is None else tariff.start,
        series=None if tariff is None else tariff.series,
        stretches=tuple(_shown(each) for each in found),
    )


def _shown(stretch: Stretch) -> PricedStretch:
    rate = None if stretch.rate is None else f"{stretch.rate:f}"
    return PricedStretch(start=from_ms(stretch.start_ms), end=from_ms(stretch.end_ms), per_kwh=rate)


ROUTES: Final = (
    Route(
        method="GET",
        path="/api/tariff",
        summary="What a kWh costs through a day, before tax, with the standing charge",
        handler=tariff_day,
        answers=TariffDay,
        query=OneDay,
        errors=(503,),
    ),
)
