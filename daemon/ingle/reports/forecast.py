"""What the coming days should take and cost, room by room and in all, said so that it can be scored afterwards.

Each room goes by what it took on the last four weeks' days that are known whole (``money.forecast``); one that is not
known that long goes by its design and programme, and that is said. Money: each room's own hours of the day, at the
rates that hold on the days to come.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from ingle import money
from ingle.control.programme import instant
from ingle.errors import BadInput, Fault
from ingle.model.forecasts import Forecast, ForecastRequest, Method, ZoneForecast
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.physics.weather import BASE_C, degree_days_of_month
from ingle.reports.days import Cold, outdoors
from ingle.reports.forecast_prices import Prices
from ingle.reports.forecast_rooms import BACK_DAYS, Said, Weather, lately, room, together
from ingle.reports.outdoors import LATELY_DAYS
from ingle.reports.use import uses

#: How far ahead one may ask, and how many days where nobody says [d].
AHEAD_DAYS: Final = 31
USUAL_DAYS: Final = 7


def span(house: House, asked: ForecastRequest, now: datetime) -> tuple[date, date]:
    """Return the first day to forecast and the day after the last.

    Raises
    ------
    BadInput
        Where they have begun, are no dates, or are too many or too far ahead.
    """
    tomorrow = now.astimezone(ZoneInfo(house.site.timezone)).date() + timedelta(days=1)
    start = tomorrow if asked.start is None else _date("from", asked.start)
    end = start + timedelta(days=USUAL_DAYS) if asked.end is None else _date("to", asked.end)
    last = tomorrow + timedelta(days=AHEAD_DAYS)
    if not tomorrow <= start < last:
        raise BadInput([Fault(("from",), asked.start, f"a date from {tomorrow} (tomorrow) up to {last}")])
    if not start < end <= last:
        raise BadInput([Fault(("to",), asked.end, f"a date after from ({start}), up to {last}")])
    return start, end


def forecast(conn: sqlite3.Connection, house: House, asked: ForecastRequest, now: datetime, who: str) -> Forecast:
    """Return what some coming days should take and cost.

    Raises
    ------
    BadInput
        As ``span``.
    """
    first, last = span(house, asked, now)
    timezone = ZoneInfo(house.site.timezone)
    days = [first + timedelta(days=n) for n in range((last - first).days)]
    midnight = instant(now.astimezone(timezone).date(), 0, timezone)
    back = money.local_days(to_ms(midnight - timedelta(days=BACK_DAYS)), to_ms(midnight), timezone)
    cold = outdoors(conn, house, back)
    weather = _weather(asked, cold, len(days))
    used = uses(conn, house, [back[0].start_ms, *(day.end_ms for day in back)])
    said = {
        zone.id: room(
            conn,
            house,
            zone,
            lately(zone, used, cold, [day.hours for day in back]),
            weather,
            len(days),
            back[-1].end_ms,
        )
        for zone in house.zones
        if zone.heaters
    }
    prices = Prices(house, days, timezone)
    zones = tuple(_told(house, zone_id, each, prices) for zone_id, each in said.items())
    return _whole(house, (first, last), now, who, weather, said, zones, prices)


def _date(place: str, text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput([Fault((place,), text, "a date such as 2026-01-31")]) from None


def _weather(asked: ForecastRequest, cold: Sequence[Cold | None], days: int) -> Weather:
    if asked.outdoor_c is not None:
        mean_c = asked.outdoor_c
        return Weather(
            outdoor_c=mean_c,
            degree_days=degree_days_of_month(days, mean_c),
            origin="given",
            sentence=f"{mean_c:g} °C outside on average, as given; degree days by Hitchin's formula (CIBSE TM41).",
        )
    known = [each for each in cold if each is not None][-LATELY_DAYS:]
    if not known:
        return Weather(
            outdoor_c=None,
            degree_days=None,
            origin=None,
            sentence="No outdoor readings of late: every room is taken to use as much a day as it did.",
        )
    mean_c = sum(each.mean_c for each in known) / len(known)
    return Weather(
        outdoor_c=round(mean_c, 1),
        degree_days=sum(each.degree_days for each in known) / len(known) * days,
        origin="measured",
        sentence=f"Weather as on the last {len(known)} days measured: {mean_c:.1f} °C outside on average.",
    )


def _told(house: House, zone_id: str, said: Said, prices: Prices) -> ZoneForecast:
    zone = house.zone(zone_id)
    cost = None
    if said.kwh is not None and prices.known:
        cost = str(money.rounded(sum(prices.units(said.kwh, said.shape), Decimal(0))))
    return ZoneForecast(
        zone=zone_id,
        name=zone_id if zone is None else zone.name,
        method=said.method,
        kwh=None if said.kwh is None else round(said.kwh, 2),
        kwh_low=None if said.kwh is None else round(said.low, 2),
        kwh_high=None if said.kwh is None else round(said.high, 2),
        money=cost,
        missing=said.missing,
    )


def _whole(
    house: House,
    span_of: tuple[date, date],
    now: datetime,
    who: str,
    weather: Weather,
    said: dict[str, Said],
    zones: tuple[ZoneForecast, ...],
    prices: Prices,
) -> Forecast:
    timezone = ZoneInfo(house.site.timezone)
    known = [(each, each.kwh) for each in said.values() if each.kwh is not None]
    kwh = sum(of for _, of in known) if known else None
    down, up = together([each for each, _ in known], prices.days, weather.degree_days)
    parts = [prices.units(of, each.shape) for each, of in known] if prices.known else []
    standing, standing_tax = prices.standing() if prices.known else (Decimal(0), Decimal(0))
    exactly = [
        sum((units for units, _ in parts), Decimal(0)),
        standing,
        sum((tax for _, tax in parts), standing_tax),
    ]
    total = money.rounded(sum(exactly, Decimal(0)))
    shown = [str(each) for each in money.shared_out(total, exactly)] if parts else [None, None, None]
    return Forecast(
        made=from_ms(to_ms(now)),
        who=who,
        start=instant(span_of[0], 0, timezone),
        end=instant(span_of[1], 0, timezone),
        days=prices.days,
        outdoor_c=weather.outdoor_c,
        outdoor_from=weather.origin,
        degree_days_kd=None if weather.degree_days is None else round(weather.degree_days, 1),
        currency=prices.currency,
        kwh=None if kwh is None else round(kwh, 2),
        kwh_low=None if kwh is None else round(max(0.0, kwh - down), 2),
        kwh_high=None if kwh is None else round(kwh + up, 2),
        units=shown[0],
        standing=shown[1],
        tax=shown[2],
        money=str(total) if parts else None,
        zones=zones,
        assumptions=tuple(_assumptions(weather, said)),
        missing=tuple(_missing(said, prices)),
    )


def _assumptions(weather: Weather, said: dict[str, Said]) -> Iterator[str]:
    yield weather.sentence
    ways: dict[Method, list[str]] = {}
    for zone, each in said.items():
        if each.method is not None:
            ways.setdefault(each.method, []).append(zone)
    words: dict[Method, str] = {
        "degree-days": f"by their kWh a degree day (base {BASE_C:g} °C) over the last {BACK_DAYS} days known whole",
        "days": f"by their kWh a day over the last {BACK_DAYS} days known whole: hardly cold, or not measured outside",
        "design": "by design, programme and plates, less than a week of them being known; half as much again may come",
    }
    yield from (f"{', '.join(zones)}: {words[method]}." for method, zones in ways.items())
    yield "Limits are 95 % of the use at that weather; they do not hold what the weather itself may do."
    yield "Programmes, bookings and the people in the house are taken to stay as they were."


def _missing(said: dict[str, Said], prices: Prices) -> Iterator[str]:
    yield from (f"{zone}: {each.missing}" for zone, each in said.items() if each.missing is not None)
    if not said:
        yield "The house has no heaters."
    if not prices.known:
        yield "No tariff in one currency covers all of those days, so no money is said."
