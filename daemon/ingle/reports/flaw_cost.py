"""What each flaw costs in 30 days: its energy and limits at the price that the room itself paid, tax included.

A room's price per kilowatt-hour is what its energy cost over the last 30 days, each stretch at its rate, over that
energy: so a room that heats at night is priced by night rates. Where nothing was used or no bill can be made of it,
the tariff in force is taken over a whole day. Standing charges stay out: a flaw does not change them. Heat that nobody
meters has no price here, for nobody knows what it was made of.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from ingle import money
from ingle.model.house import House
from ingle.model.verdicts import Assessment, Cause, ZoneVerdict
from ingle.reports.cost import costs

#: How far back a room's own price is looked for [days].
BACK_DAYS: Final = 30
#: Causes whose energy is not bought here.
UNPRICED: Final = frozenset({"other-heat", "gains-low"})


class Price(NamedTuple):
    """What a kilowatt-hour costs with tax, and in which currency."""

    per_kwh: Decimal
    currency: str


def with_money(conn: sqlite3.Connection, house: House, assessed: Assessment) -> Assessment:
    """Return an assessment in which every cause that takes energy says what that costs."""
    wanting = [zone.id for zone in assessed.zones if any(map(_wants_price, zone.causes))]
    if not wanting or not house.tariffs:
        return assessed
    end = datetime.fromisoformat(assessed.end)
    prices = _prices(conn, house, wanting, end)
    return replace(assessed, zones=tuple(_zone(each, prices.get(each.id)) for each in assessed.zones))


def money_of(kwh: float, price: Price) -> float:
    """Return what energy costs, in whole hundredths.

    Examples
    --------
    29 W/K more over 14.5 K for 30 days is 302.76 kWh: at 25.7 p 77.81, with 20 % tax 93.37.

    >>> money_of(302.76, Price(Decimal("0.257"), "GBP")), money_of(302.76, Price(Decimal("0.3084"), "GBP"))
    (77.81, 93.37)
    """
    return float(money.rounded(money.exact(kwh) * price.per_kwh))


def _wants_price(cause: Cause) -> bool:
    return cause.kwh is not None and cause.money is None and cause.code not in UNPRICED


def _zone(zone: ZoneVerdict, price: Price | None) -> ZoneVerdict:
    if price is None:
        return zone
    return replace(zone, causes=tuple(_priced(each, price) if _wants_price(each) else each for each in zone.causes))


def _priced(cause: Cause, price: Price) -> Cause:
    return replace(
        cause,
        money=None if cause.kwh is None else money_of(cause.kwh, price),
        money_low=None if cause.kwh_low is None else money_of(cause.kwh_low, price),
        money_high=None if cause.kwh_high is None else money_of(cause.kwh_high, price),
        currency=price.currency,
    )


def _prices(conn: sqlite3.Connection, house: House, zones: Iterable[str], end: datetime) -> dict[str, Price]:
    names = list(zones)
    spent = costs(conn, house, end - timedelta(days=BACK_DAYS), end, now=end, zones=names)
    found = {}
    for each in spent.zones:
        if spent.currency is not None and each.total is not None and (each.energy_wh or 0) >= 1000:
            found[each.zone] = Price(Decimal(each.total) / money.exact((each.energy_wh or 0) / 1000), spent.currency)
    usual = _over_a_day(house, end)
    if usual is not None:
        found = {name: found.get(name, usual) for name in names}
    return found


def _over_a_day(house: House, end: datetime) -> Price | None:
    """Return the mean price over a whole day of the tariff in force, None before the first."""
    timezone = ZoneInfo(house.site.timezone)
    day = end.astimezone(timezone).date()
    tariff = money.tariff_on(house.tariffs, day)
    if tariff is None:
        return None
    midnight = datetime.combine(day, time(), timezone)
    quarters = [midnight + timedelta(minutes=15 * each) for each in range(96)]
    mean = sum((money.rate_at(tariff, at, timezone) for at in quarters), Decimal(0)) / len(quarters)
    return Price(money.with_tax(tariff, mean), tariff.currency)
