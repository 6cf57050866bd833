"""What today's energy costs: every quarter-hour at its own rate, the standing charge of the day so far, tax on both."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from ingle import money
from ingle.model.house import House
from ingle.model.instants import from_ms, to_ms
from ingle.model.readings import Source
from ingle.reports.energy import midnight_before
from ingle.store.rollups import quarters

_DAY_S = 86_400


class Spent(NamedTuple):
    """An amount in a currency; both None where the house has no tariff, or nothing is known of its energy."""

    money: float | None
    currency: str | None


def spent_today(conn: sqlite3.Connection, house: House, now: datetime) -> Spent:
    """Return what the heaters' energy since local midnight costs, tax included, to a hundredth."""
    timezone = ZoneInfo(house.site.timezone)
    tariff = money.tariff_on(house.tariffs, now.astimezone(timezone).date())
    if tariff is None:
        return Spent(None, None)
    midnight = midnight_before(now, house.site.timezone)
    pieces = [
        (from_ms(quarter.start_ms), quarter.energy_wh)
        for zone in house.zones
        for heater in zone.heaters
        for quarter in quarters(conn, Source("heater", heater.id), to_ms(midnight), to_ms(now))
        if quarter.energy_wh is not None
    ]
    if not pieces:
        return Spent(None, tariff.currency)
    share_of_day = min(1.0, (now - midnight).total_seconds() / _DAY_S)
    amount = money.before_tax(tariff, pieces, timezone, days=share_of_day)
    return Spent(float(money.rounded(money.with_tax(tariff, amount))), tariff.currency)
