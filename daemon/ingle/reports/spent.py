"""What today's energy costs: every quarter-hour at its own rate, the standing charge of the day so far, tax on both."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from ingle.model.house import House
from ingle.model.instants import to_ms
from ingle.money import rounded
from ingle.reports.energy import midnight_before
from ingle.reports.priced import in_all, priced
from ingle.reports.use import uses


class Spent(NamedTuple):
    """An amount in a currency; both None where the house has no tariff, or nothing is known of its energy."""

    money: float | None
    currency: str | None


def spent_today(conn: sqlite3.Connection, house: House, now: datetime) -> Spent:
    """Return what the heaters' energy since local midnight costs, tax included, to a hundredth."""
    midnight_ms = to_ms(midnight_before(now, house.site.timezone))
    at_prices = priced(conn, house, midnight_ms, max(to_ms(now), midnight_ms + 1))
    if at_prices.currency is None:
        return Spent(None, None)
    whole = at_prices.added(uses(conn, house, at_prices.edges_ms)).whole
    if whole.energy_wh is None:
        return Spent(None, at_prices.currency)
    charges = in_all(at_prices.standing(ZoneInfo(house.site.timezone)).values())
    return Spent(float(rounded(at_prices.money(whole).total + charges.total)), at_prices.currency)
